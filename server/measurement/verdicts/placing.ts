// Where a reading lies in a range: side and zone of each kind of reading, and how likely the true value is below, in
// or above. What cannot be decided takes the safe side: out, but close.

import { normalCdf } from '../../statistics/normal.ts'
import { accuracyFor, type Instrument, topOf } from '../instruments/instrument.ts'
import { contains, type Range } from '../limits/range.ts'
import { isResistance, type Reading } from '../readings/reading.ts'

/** Coverage factor of the expanded uncertainty. */
export const COVERAGE = 2

/** How sure: `close` is too close to call with this instrument. */
export type Zone = 'in' | 'in, close' | 'out, close' | 'out' | 'no verdict'

export interface Place {
  /** Where the reading lies by the simple rule. `unknown`: there was no limit to hold it against. */
  side: Side | 'none' | 'open' | 'unknown'
  zone: Zone
  /**
   * Could the reading be placed at all? A wandering one across a
   * limit, and `>50` against `at most 100`, cannot.
   */
  decided: boolean
  /** An over-range reading placed by the top of the meter's range. */
  knownTop: boolean
}

type Side = 'in range' | 'below' | 'above'

/** Where a reading lies in a range of its own unit, with the guard band `guard` (0 for the simple rule). */
export function place(reading: Reading, range: Range, guard: number, instrument: Instrument | null): Place {
  const placed = placeAt(reading, range, guard, instrument)
  return isNearNothing(reading, range) ? { ...placed, side: 'none', decided: true } : placed
}

/** A little is as good as nothing where the range says how much, and is itself further from nothing than that. */
function isNearNothing(reading: Reading, range: Range): boolean {
  const most = range.nothing?.most
  if (most === undefined) return false
  const apart = (range.min ?? most) > most || (range.max ?? -most) < -most
  if (!apart) return false
  if (reading.kind === 'unstable') return Math.max(Math.abs(reading.low), Math.abs(reading.high)) <= most
  return (reading.kind === 'value' || reading.kind === 'less than') && Math.abs(reading.value) <= most
}

function placeAt(reading: Reading, range: Range, guard: number, instrument: Instrument | null): Place {
  switch (reading.kind) {
    case 'value':
      return spared(
        reading,
        range,
        guard,
        sure(sideOf(reading.value, range), zoneOf(reading.value, range, guard)),
      )
    case 'unstable':
      return spared(reading, range, guard, placeWandering(reading.low, reading.high, range, guard))
    case 'more than':
      return placeMore(reading.value, range, guard)
    case 'less than':
      return spared(reading, range, guard, placeLess(reading.value, range, guard))
    case 'none':
      return { ...sure('none', contains(range, 0) ? 'in, close' : 'out'), decided: !contains(range, 0) }
    case 'open':
      return isResistance(reading.unit) ? placeOpen(range, instrument) : placeOver(range, instrument)
  }
}

/** Is the reading lower than anything physical could be, even with the meter's error? */
export function belowFloor(reading: Reading, range: Range, guard: number): boolean {
  if (range.floor === null) return false
  if (reading.kind === 'value') return reading.value + guard < range.floor
  if (reading.kind === 'unstable') return reading.high + guard < range.floor
  return reading.kind === 'less than' && reading.value <= range.floor
}

/** Side by the simple rule; bounds are inclusive unless the range is strict. */
export function sideOf(value: number, range: Range): Side {
  if (contains(range, value)) return 'in range'
  return range.min !== null && value <= range.min ? 'below' : 'above'
}

/** A reading in range that nothing physical could give is no proof of anything. */
function spared(reading: Reading, range: Range, guard: number, placed: Place): Place {
  const doubted = placed.zone === 'in' && belowFloor(reading, range, guard)
  return doubted ? { ...placed, zone: 'in, close' } : placed
}

function zoneOf(value: number, range: Range, guard: number): Zone {
  const inside = Math.min(
    range.min === null ? Number.POSITIVE_INFINITY : value - range.min,
    range.max === null ? Number.POSITIVE_INFINITY : range.max - value,
  )
  return contains(range, value) ? inBy(inside, guard) : outBy(-inside, guard)
}

function placeWandering(low: number, high: number, range: Range, guard: number): Place {
  const ends = [sideOf(low, range), sideOf(high, range)] as const
  if (ends[0] !== ends[1]) return undecided(ends[0] === 'below' ? 'below' : 'above')
  const zones = [zoneOf(low, range, guard), zoneOf(high, range, guard)]
  const close = zones.find(zone => zone === 'in, close' || zone === 'out, close')
  return sure(ends[0], close ?? zones[0] ?? 'no verdict')
}

function placeMore(value: number, range: Range, guard: number): Place {
  if (range.max !== null && value >= range.max) return sure('above', outBy(value - range.max, guard))
  if (range.max === null && range.min !== null && value >= range.min)
    return sure('in range', inBy(value - range.min, guard))
  return undecided(range.min !== null && value < range.min ? 'below' : 'above')
}

function placeLess(value: number, range: Range, guard: number): Place {
  if (range.min !== null && value <= range.min) return sure('below', outBy(range.min - value, guard))
  if (range.min === null && range.max !== null && value <= range.max)
    return sure('in range', inBy(range.max - value, guard))
  return undecided(range.max !== null && value > range.max ? 'above' : 'below')
}

function inBy(margin: number, guard: number): Zone {
  return margin >= guard ? 'in' : 'in, close'
}

function outBy(margin: number, guard: number): Zone {
  return margin > guard || guard === 0 ? 'out' : 'out, close'
}

/**
 * An open circuit is above any upper limit; against a lower
 * limit it takes a meter that surely reaches that far.
 */
function placeOpen(range: Range, instrument: Instrument | null): Place {
  if (range.max !== null) return sure('open', 'out')
  const least = instrument && range.min !== null ? surelyAbove(instrument, range.unit) : null
  const enough = least !== null && range.min !== null && least >= range.min
  return enough ? { ...sure('open', 'in'), knownTop: true } : { ...sure('open', 'in, close'), decided: false }
}

/** What the true value is at least when the instrument shows that its highest range does not hold it. */
function surelyAbove(instrument: Instrument, base: string): number | null {
  const top = topOf(instrument, base)
  const accuracy =
    top === null ? null : accuracyFor(instrument, { kind: 'more than', value: top, unit: base })
  return top === null || accuracy === null ? null : top - COVERAGE * accuracy.standard
}

/** Volts, amperes, hertz over the meter's range: higher than it can show, where it is known what that is. */
function placeOver(range: Range, instrument: Instrument | null): Place {
  if (range.max === null) return { ...sure('open', 'in, close'), decided: false }
  const least = instrument ? surelyAbove(instrument, range.unit) : null
  return least !== null && least > range.max
    ? { ...sure('above', 'out'), knownTop: true }
    : undecided('above')
}

function sure(side: Place['side'], zone: Zone): Place {
  return { side, zone, decided: true, knownTop: false }
}

function undecided(side: Side): Place {
  return { side, zone: 'out, close', decided: false, knownTop: false }
}

/** How likely the true value is below, in or above a range, for the ranking of causes. The three sum to 1. */
export interface Confidence {
  below: number
  in: number
  above: number
}

const STEPS = 32

/**
 * Chances for a reading with standard uncertainty `standard`
 * (null: none known); null where there is no number.
 */
export function confidenceIn(
  reading: Reading,
  range: Range,
  standard: number | null,
  placed: Place,
): Confidence | null {
  switch (reading.kind) {
    case 'value':
      return chances(reading.value, range, standard ?? 0)
    case 'unstable':
      return wandering(reading.low, reading.high, range, standard ?? 0)
    case 'more than':
    case 'less than':
      if (!placed.decided) return shared(reading, range)
      // At its worst it lies where it was typed.
      return standard || placed.side === 'none'
        ? chances(reading.value, range, standard ?? 0)
        : certain(placed.side)
    case 'open':
      if (isResistance(reading.unit)) return null
      return placed.decided
        ? certain(placed.side)
        : shared({ kind: 'more than', value: range.min ?? 0 }, range)
    case 'none':
      return null
  }
}

/** Normal about the reading (JCGM 106); with no uncertainty, certainty on the side it lies. */
export function chances(value: number, range: Range, standard: number): Confidence {
  if (!(standard > 0)) return certain(sideOf(value, range))
  const below = range.min === null ? 0 : normalCdf((range.min - value) / standard)
  const above = range.max === null ? 0 : normalCdf((value - range.max) / standard)
  return { below, in: Math.max(0, 1 - below - above), above }
}

function certain(side: Place['side']): Confidence {
  return { below: side === 'below' ? 1 : 0, in: side === 'in range' ? 1 : 0, above: side === 'above' ? 1 : 0 }
}

/** Anywhere between the two values is as likely: the mean over the stretch. */
function wandering(low: number, high: number, range: Range, standard: number): Confidence {
  const sum = { below: 0, in: 0, above: 0 }
  for (let step = 0; step < STEPS; step++) {
    const part = chances(low + ((step + 0.5) / STEPS) * (high - low), range, standard)
    sum.below += part.below / STEPS
    sum.in += part.in / STEPS
    sum.above += part.above / STEPS
  }
  return sum
}

/** `>50` that cannot be decided: each side it may lie on counts the same. */
function shared(
  reading: Pick<Extract<Reading, { value: number }>, 'kind' | 'value'>,
  range: Range,
): Confidence {
  const more = reading.kind === 'more than'
  const below = range.min !== null && (more ? reading.value < range.min : true)
  const above = range.max !== null && (more ? true : reading.value > range.max)
  const parts = Number(below) + 1 + Number(above)
  return { below: Number(below) / parts, in: 1 / parts, above: Number(above) / parts }
}
