import { formatQuantity } from '../measurement/readings/format.ts'
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
  const quantity = (value: number) => formatQuantity(Number(value.toPrecision(3)), series.unit)
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
