import { bestShown, formatIn, formatQuantity } from '../../measurement/readings/format.ts'
import { findUnit } from '../../measurement/readings/units.ts'
import type { DriftEntry } from './drifts.ts'

/**
 * What a drift comes to, in the unit of its readings: the date
 * of its limit where one can be given, else why not.
 */
export function driftWords(
  { series, readings, drift }: Pick<DriftEntry, 'series' | 'readings' | 'drift'>,
  ended: DriftEntry['ended'],
  day: (ms: number) => string,
): string {
  const largest = Math.max(0, ...readings.map(reading => Math.abs(reading.value ?? 0)))
  // What is said together is said in one unit; a unit that was stored by other hands stands as it is.
  const isKnown = findUnit(series.unit) !== null
  const shown = isKnown ? bestShown({ min: null, max: largest, unit: series.unit }) : series.unit
  const quantity = (value: number) => {
    const rounded = Number(value.toPrecision(3))
    return isKnown ? formatIn(rounded, series.unit, shown) : formatQuantity(rounded, series.unit)
  }
  const numbers = readings.flatMap(reading => reading.value ?? [])
  const [first, last] = [numbers[0], numbers.at(-1)]
  const run = first === undefined || last === undefined ? '' : `${quantity(first)} to ${quantity(last)}`
  if (ended !== null) return `From ${run}, until ${ended.words}, ${day(ended.atMs)}.`
  const { value, words } = drift.crosses
  if (value === null)
    return drift.trend !== null && drift.trend.chance <= 0.05 ? `From ${run}. ${words}` : words
  const span = `${day(value.earliestMs)} to ${day(value.latestMs)}`
  return `From ${run}. Reaches ${quantity(value.limit)} about ${day(value.atMs)} (${span}).`
}
