// Readings typed at every check of the knowledge: true ones, in order and at a fault, and true ones typed with a slip.

import { readingFor, readingOf } from '../../server/demo/story/readings.ts'
import type { Range } from '../../server/measurement/limits/expectation.ts'
import { parseReading } from '../../server/measurement/readings/reading.ts'
import { surprise } from '../../server/measurement/readings/surprise.ts'
import { judge } from '../../server/measurement/verdicts/verdict.ts'
import { createRandom, type Random } from '../../server/statistics/random.ts'
import { expectedSomewhere, type MeasuredCheck, measuredChecks } from './measured-pack.ts'

export interface Typed {
  title: string
  kind: string
  text: string
  asked: boolean
}

/** With a limit: without one nothing tells a slip from a reading. */
const limited = measuredChecks.filter(({ check }) => check.does.expectation !== null)

/**
 * Slips at readings in order that lead out of range, `turns` at each check: a point shifted or left out, a key hit
 * twice or missed, another prefix. One that stays in range changes nothing, and is not counted.
 */
export function typedSlips(turns: number, seed: string): Typed[] {
  return limited.flatMap(one => {
    const random = createRandom(`${seed} ${one.title}`)
    return Array.from({ length: turns }, () => one).flatMap(() => slipAt(one, random) ?? [])
  })
}

/** True readings, `turns` at each check: half in order, half at a fault, on any row and as the author says. */
export function typedTruly(turns: number, seed: string): Typed[] {
  return limited.flatMap(one => {
    const random = createRandom(`${seed} ${one.title}`)
    return Array.from({ length: turns }, (_, turn) => trulyAt(one, turn % 2 === 0, random))
  })
}

const numeral = /\d[\d.]*/

const slips: Record<string, (digits: string, random: Random) => string> = {
  'point to the left': digits => moved(digits, 0.1),
  'point to the right': digits => moved(digits, 10),
  'point left out': digits => digits.replace('.', ''),
  'key hit twice': (digits, random) => {
    const at = random.whole(0, digits.length - 1)
    return `${digits.slice(0, at)}${digits[at]}${digits.slice(at)}`
  },
  'key missed': (digits, random) => {
    const at = random.whole(0, digits.length - 1)
    return digits.slice(0, at) + digits.slice(at + 1)
  },
  'prefix a thousand too large': digits => moved(digits, 1000),
  'prefix a thousand too small': digits => moved(digits, 0.001),
}

/** With as many digits as before. */
function moved(digits: string, times: number): string {
  const places = (digits.split('.')[1] ?? '').length - Math.log10(times)
  return (Number(digits) * times).toFixed(Math.max(0, Math.round(places)))
}

function slipAt(one: MeasuredCheck, random: Random): Typed | null {
  const range = rangeAt(one, random)
  const right = inOrder(one, range, random)
  const kind = random.pick(Object.keys(slips))
  const text = right.replace(numeral, digits => slips[kind]?.(digits, random) ?? digits)
  if (text === right) return null
  const parsed = parseReading(text, one.check.does.meter, range)
  const typed = { title: one.title, kind, text: `${text} for ${right}` }
  if (!parsed.ok) return { ...typed, asked: true }
  if (judge(parsed.reading, range).side === 'in range') return null
  return { ...typed, asked: surprise(parsed.reading, { range, ...one.check.does, text }) !== null }
}

function trulyAt(one: MeasuredCheck, healthy: boolean, random: Random): Typed {
  const range = rangeAt(one, random)
  const text = healthy ? inOrder(one, range, random) : atFault(one, range, random)
  const parsed = parseReading(text, one.check.does.meter, range)
  if (!parsed.ok) throw new Error(`${one.title}: “${text}” is not understood.`)
  const asked = surprise(parsed.reading, { range, ...one.check.does, text }) !== null
  return { title: one.title, kind: healthy ? 'in order' : 'at a fault', text, asked }
}

function inOrder({ check }: MeasuredCheck, range: Range, random: Random): string {
  // Where the rows are bands, each of them is in order somewhere.
  const bands = check.rows.filter(({ match }) => match.kind === 'band')
  const row = check.rows.find(({ match }) => match.kind === 'in range') ?? random.pick(bands)
  return readingFor(check, row, range, random.between(0.1, 0.9), null, random).text
}

function atFault({ check }: MeasuredCheck, range: Range, random: Random): string {
  const { atFault: stretches } = check.does
  const rows = check.rows.filter(({ match }) => !['in range', 'cannot tell'].includes(match.kind))
  if (stretches.length === 0 || random.chance(0.5))
    return readingFor(check, random.pick(rows), range, 0.5, null, random).text
  const { min, max } = random.pick(stretches)
  const made = readingOf(check, random.between(min ?? 0, max ?? 0), range, null)
  if (!made) throw new Error(`“${check.title}”: what a fault shows can't be typed.`)
  return made.text
}

function rangeAt(one: MeasuredCheck, random: Random): Range {
  const range = expectedSomewhere(one, random)
  if (!range) throw new Error(`“${one.title}” has no limit.`)
  return range
}
