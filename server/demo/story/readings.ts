// What a meter shows in the demo: a reading that takes the row wanted, written as a technician would type it.

import { constantBounds } from '../../knowledge/bounds.ts'
import { matchRow } from '../../knowledge/match.ts'
import type { Check, Measures, Row } from '../../knowledge/types.ts'
import type { Instrument } from '../../measurement/instruments/instrument.ts'
import type { Range } from '../../measurement/limits/expectation.ts'
import { formatQuantity } from '../../measurement/readings/format.ts'
import { parseReading, type Reading } from '../../measurement/readings/reading.ts'
import { fromBase, getUnit } from '../../measurement/readings/units.ts'
import { judge, type Verdict } from '../../measurement/verdicts/verdict.ts'
import type { Random } from '../../statistics/random.ts'

export interface DemoReading {
  text: string
  reading: Reading
  range: Range | null
  verdict: Verdict
  /** Id of the instrument it was taken with, or null. */
  instrument: string | null
  /** Set where the reading alone does not take the row wanted. */
  chosenRow: string | null
}

export type MeasuringCheck = Check & { does: Measures }

export function measures(check: Check): check is MeasuringCheck {
  return check.does.kind === 'measure'
}

/**
 * A reading that takes `row`. `habit`, 0 to 1, is where in the range this position usually reads. Where no reading
 * takes the row by itself (a blank limit), the row is chosen by hand.
 */
export function readingFor(
  check: MeasuringCheck,
  row: Row,
  range: Range | null,
  habit: number,
  instrument: Instrument | null,
  random: Random,
): DemoReading {
  const readings = textsFor(check, row, range, habit, random).flatMap(
    text => read(check, text, range, instrument) ?? [],
  )
  const fitting = readings.find(made => matchRow(check, { kind: 'reading', ...made }) === row)
  if (fitting) return { ...fitting, chosenRow: null }
  const any = readings[0] ?? read(check, '1', range, instrument)
  if (!any) throw new Error(`No reading can be made up for “${check.title}”.`)
  return { ...any, chosenRow: row.label }
}

/** A reading of just this value, in the base unit, whatever row it takes. */
export function readingOf(
  check: MeasuringCheck,
  value: number,
  range: Range | null,
  instrument: Instrument | null,
): DemoReading | null {
  const made = read(check, typed(value, check.does.meter), range, instrument)
  return made && { ...made, chosenRow: null }
}

function read(
  check: MeasuringCheck,
  text: string,
  range: Range | null,
  instrument: Instrument | null,
): Omit<DemoReading, 'chosenRow'> | null {
  const parsed = parseReading(text, check.does.meter, range)
  if (!parsed.ok) return null
  const verdict = judge(parsed.reading, range, instrument)
  return { text, reading: parsed.reading, range, verdict, instrument: instrument?.id ?? null }
}

/** What could be typed for the row, the likeliest first. */
function textsFor(
  check: MeasuringCheck,
  row: Row,
  range: Range | null,
  habit: number,
  random: Random,
): string[] {
  const { meter } = check.does
  const { match } = row
  if (match.kind === 'none' || match.kind === 'open') return [match.kind === 'none' ? 'none' : 'OL']
  const band = match.kind === 'band' ? constantBounds(match.expectation) : null
  if (band) return [typed(inside(band, 0.5, random), meter)]
  if (!range) return [typed(random.between(...withoutLimit(check.does.unit)), meter)]
  switch (match.kind) {
    case 'below':
      return [typed(below(range, random), meter)]
    case 'above':
      return [typed(above(range, random), meter)]
    case 'otherwise':
      return leftOver(check, range, random)
    default:
      return [typed(inside(range, habit, random), meter)]
  }
}

/** Between what a reading lies that has no limit on record: invented, as is all of the demo. */
function withoutLimit(unit: string): [number, number] {
  if (unit === 'm') return [0.3, 0.6]
  return unit === 'mm' ? [0.02, 0.06] : [1, 30]
}

/** The ways to be out of range that no other row stands for. */
function leftOver(check: MeasuringCheck, range: Range, random: Random): string[] {
  const taken = new Set<string>(check.rows.map(row => row.match.kind))
  const lowIsWrong = range.min !== null && !nearZero(range)
  const texts: [string, number, string][] = [
    ['below', lowIsWrong ? 7 : 0, typed(below(range, random), check.does.meter)],
    ['above', range.max === null ? 0 : lowIsWrong ? 1 : 6, typed(above(range, random), check.does.meter)],
    ['none', lowIsWrong && range.max !== null ? 3 : 0, 'none'],
    ['open', range.max === null || lowIsWrong ? 0 : 1, 'OL'],
  ]
  const free = texts.filter(([side, share]) => share > 0 && !taken.has(side))
  if (free.length === 0) return texts.map(([, , text]) => text)
  const first = random.weighted(free, ([, share]) => share)
  return [first, ...free.filter(text => text !== first)].map(([, , text]) => text)
}

function inside(range: Pick<Range, 'min' | 'max'>, habit: number, random: Random): number {
  const wobble = habit + 0.06 * random.normal()
  const share = Math.min(0.95, Math.max(0.05, wobble))
  if (range.max !== null && nearZero(range)) return range.max * share * 0.8
  if (range.min !== null && range.max !== null) return range.min + share * (range.max - range.min)
  return (range.min ?? 1) * (1.5 + 30 * share ** 2)
}

/** "At most 0.2", or within 0.2 of nothing either way: what is wanted is a small figure. */
function nearZero(range: Pick<Range, 'min' | 'max'>): boolean {
  return range.max !== null && (range.min === null || (range.min <= 0 && range.max > 0))
}

function below(range: Range, random: Random): number {
  const end = range.min ?? 0
  const floor = range.floor !== null && range.floor < end ? range.floor : 0
  return floor + (end - floor) * random.between(0.35, 0.96)
}

function above(range: Range, random: Random): number {
  const end = range.max ?? 1
  const width = nearZero(range) ? Math.abs(end) : end - (range.min ?? 0)
  return end + width * random.between(0.1, 1.8)
}

/** As the meter shows it: three digits, four from a hundred up; with its own prefix where that reads better. */
function typed(value: number, unit: string): string {
  const { base } = getUnit(unit)
  const shown = fromBase(value, getUnit(unit))
  const size = Math.abs(shown)
  if (size >= 100 && size < 2000) return shown.toFixed(1)
  if (size >= 0.1 && size < 100) return shown.toPrecision(3)
  return formatQuantity(Number(value.toPrecision(3)), base).replace(/\u00a0/g, ' ')
}
