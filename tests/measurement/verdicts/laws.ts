// Random readings held against random limits with random instruments, and the laws that no verdict may break.

import type { Instrument, InstrumentFunction } from '../../../server/measurement/instruments/instrument.ts'
import { contains, type Range } from '../../../server/measurement/limits/expectation.ts'
import type { Reading } from '../../../server/measurement/readings/reading.ts'
import { judge, passesProof, type Verdict } from '../../../server/measurement/verdicts/verdict.ts'
import { type Chance, seeded } from '../../history/chance.ts'
import { range } from '../make.ts'

export interface Tried {
  reading: Reading
  range: Range
  instrument: Instrument | null
}

/** Judges `count` of them; what broke a law, in words. */
export function tryLaws(count: number, seed: number): { proved: number; close: number; broken: string[] } {
  const random = seeded(seed)
  const broken: string[] = []
  let proved = 0
  let close = 0
  for (let at = 0; at < count; at++) {
    const tried = triedAtRandom(random)
    const verdict = judge(tried.reading, tried.range, tried.instrument)
    if (passesProof(verdict)) proved += 1
    if (verdict.zone.endsWith('close')) close += 1
    for (const law of brokenBy(tried, verdict)) broken.push(`${law}: ${JSON.stringify({ tried, verdict })}`)
  }
  return { proved, close, broken }
}

/** The laws that this verdict breaks, by name; empty when it keeps them all. */
export function brokenBy({ reading, range, instrument }: Tried, verdict: Verdict): string[] {
  const laws: [string, boolean][] = [
    [
      'proves only what lies in range with all that it may be off',
      provesRightly(reading, range, instrument, verdict),
    ],
    ['says the side where the number lies', saysItsSide(reading, range, verdict)],
    ['shares out one whole', sharesOneWhole(verdict)],
    ['gives the side it says most of the chance', favoursItsSide(verdict)],
    ['has words with numbers in them that are some', !/NaN|undefined|Infinity/.test(wordsOf(verdict))],
  ]
  return laws.filter(([, kept]) => !kept).map(([law]) => law)
}

function wordsOf({ because, advice }: Verdict): string {
  return `${because} ${advice ?? ''}`
}

function provesRightly(
  reading: Reading,
  range: Range,
  instrument: Instrument | null,
  verdict: Verdict,
): boolean {
  if (!passesProof(verdict)) return true
  if (!couldShow(reading, instrument)) return false
  const reach = reachOf(reading, instrument)
  return reach?.every(value => contains(range, value)) ?? false
}

/** Without an instrument named, any number may be. */
function couldShow(reading: Reading, instrument: Instrument | null): boolean {
  const values =
    reading.kind === 'unstable' ? [reading.low, reading.high] : 'value' in reading ? [reading.value] : []
  const most = Math.max(...(instrument?.functions ?? []).map(entry => entry.range))
  return instrument === null || values.every(value => Math.abs(value) <= most)
}

function saysItsSide(reading: Reading, range: Range, { side }: Verdict): boolean {
  if (reading.kind !== 'value') return true
  if (side === 'none')
    return Math.abs(reading.value) <= (range.nothing?.most ?? -1) && !contains(range, reading.value)
  if (side === 'in range') return contains(range, reading.value)
  return side === 'below'
    ? range.min !== null && reading.value <= range.min
    : range.max !== null && reading.value >= range.max
}

function sharesOneWhole({ confidence, probability }: Verdict): boolean {
  if (probability !== null && !(probability >= 0 && probability <= 1)) return false
  if (!confidence) return true
  const shares = [confidence.below, confidence.in, confidence.above]
  return shares.every(share => share >= 0) && Math.abs(shares.reduce((a, b) => a + b) - 1) < 1e-9
}

/** Without an instrument there is no other chance than that of the side. */
function favoursItsSide({ side, rule, zone, confidence }: Verdict): boolean {
  if (!confidence || rule !== 'simple' || zone.endsWith('close')) return true
  return side === 'in range' ? confidence.in === 1 : confidence.in === 0
}

/**
 * Values at the ends of all that the true one may be, by the instrument's own line (GUM 4.3.7, k = 2), reckoned here
 * anew; null where the reading shows no value at all. A millionth less, for the noise of binary fractions.
 */
function reachOf(reading: Reading, instrument: Instrument | null): number[] | null {
  const off = (value: number) => uncertainty(reading, value, instrument) * (1 - 1e-6)
  switch (reading.kind) {
    case 'value':
      return [reading.value - off(reading.value), reading.value + off(reading.value)]
    case 'unstable':
      return stretch(reading.low, reading.high).flatMap(value => [value - off(value), value + off(value)])
    case 'more than':
      return [beside(reading.value, 1) - off(reading.value), Number.POSITIVE_INFINITY]
    case 'less than':
      return [Number.NEGATIVE_INFINITY, beside(reading.value, -1) + off(reading.value)]
    case 'open': {
      const top = Math.max(...(instrument?.functions ?? []).map(entry => entry.range))
      return reading.unit === 'ohm' && instrument ? [top - off(top), Number.POSITIVE_INFINITY] : null
    }
    case 'none':
      return null
  }
}

/** More than 5 is not 5: the number itself is left out. */
function beside(value: number, way: 1 | -1): number {
  return value + way * 1e-9 * Math.max(1, Math.abs(value))
}

/** Both ends and what lies between, close enough to find the worst of the ranges it passes. */
function stretch(low: number, high: number): number[] {
  return Array.from({ length: 41 }, (_, step) => low + ((high - low) * step) / 40)
}

function uncertainty(reading: Reading, value: number, instrument: Instrument | null): number {
  const holding = (instrument?.functions ?? []).filter(entry => entry.range >= Math.abs(value))
  const chosen = holding.sort((a, b) => a.range - b.range)[0]
  if (!chosen) return 0
  const { percent, counts, resolution } = chosen.accuracy
  const half = (percent / 100) * Math.abs(value) + counts * resolution
  const noted = 'resolution' in reading ? reading.resolution : 0
  return 2 * Math.hypot(half / Math.sqrt(3), noted > resolution * 1.000001 ? noted / Math.sqrt(12) : 0)
}

function triedAtRandom(random: Chance): Tried {
  const unit = random.next() < 0.5 ? 'V DC' : 'ohm'
  const size = 10 ** Math.floor(random.next() * 4 - 1)
  const bounds = limitAtRandom(random, unit, size)
  return {
    range: bounds,
    reading: readingAtRandom(random, bounds, size),
    instrument: meterAtRandom(random, unit, size),
  }
}

function limitAtRandom(random: Chance, unit: string, size: number): Range {
  const end = () => tidy((unit === 'ohm' ? random.next() : 2 * random.next() - 1) * size)
  const [low, high] = [end(), end()].sort((a, b) => a - b)
  const form = random.next()
  const strict = random.next() < 0.2 ? { strict: true } : {}
  const nothing =
    random.next() < 0.3 ? { nothing: { most: tidy(size * 0.02), text: '', from: '', demo: true } } : {}
  if (form < 0.25) return range(null, high ?? 0, unit, { ...strict, ...nothing })
  if (form < 0.5) return range(low ?? 0, null, unit, { ...strict, ...nothing })
  return range(low ?? 0, high ?? 0, unit, nothing)
}

/** Most are near a limit, and some just on it. */
function readingAtRandom(random: Chance, { min, max, unit }: Range, size: number): Reading {
  const resolution = size / 10 ** Math.floor(1 + random.next() * 3)
  const near = () => {
    const bound = random.next() < 0.5 ? (min ?? max ?? 0) : (max ?? min ?? 0)
    const away = random.next() < 0.1 ? 0 : (random.next() - 0.5) * size * (random.next() < 0.6 ? 0.06 : 2.5)
    return tidy(Math.round((bound + away) / resolution) * resolution)
  }
  const kind = random.next()
  if (kind < 0.35) return { kind: 'value', value: near(), resolution, unit }
  if (kind < 0.8) {
    const [low = 0, high = 0] = [near(), near()].sort((a, b) => a - b)
    return { kind: 'unstable', low, high, resolution, unit }
  }
  if (kind < 0.95) return { kind: random.next() < 0.5 ? 'more than' : 'less than', value: near(), unit }
  return { kind: random.next() < 0.5 ? 'open' : 'none', unit }
}

/** One to four ranges in any order, coarse and fine; no instrument one time in six. */
function meterAtRandom(random: Chance, unit: string, size: number): Instrument | null {
  if (random.next() < 1 / 6) return null
  const functions = Array.from({ length: 1 + Math.floor(random.next() * 4) }, (): InstrumentFunction => {
    const top = tidy(size * 10 ** (random.next() * 3 - 1.5))
    const resolution = top / 10 ** Math.floor(2 + random.next() * 3)
    const accuracy = { percent: random.next() * 5, counts: Math.floor(random.next() * 20), resolution }
    return { unit, range: top, accuracy, method: 'direct' }
  })
  return { id: 'meter', kind: 'multimeter', serial: '1', calibrationDue: null, functions }
}

function tidy(value: number): number {
  return Number(value.toPrecision(6))
}
