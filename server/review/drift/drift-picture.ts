import type { DriftChart } from '../../charts/drift-chart.ts'
import { dayMs } from '../../history/positions/exposure.ts'
import { formatQuantity } from '../../measurement/readings/format.ts'
import { convert, findUnit, withPrefix } from '../../measurement/readings/units.ts'
import type { DriftEntry } from './drifts.ts'

/**
 * One drift as its chart takes it: the readings in a readable
 * unit, the changes, the line through the last stretch.
 */
export function driftPicture(
  id: string,
  entry: Omit<DriftEntry, 'adjusted' | 'ended'>,
  title: string,
): DriftChart {
  const { series, drift } = entry
  const unit = readableUnit(
    series.readings.map(reading => reading.value),
    series.unit,
  )
  const to = (value: number) => (unit === series.unit ? value : convert(value, series.unit, unit))
  const toOrNull = (value: number | null) => (value === null ? null : to(value))
  const crossing = drift.crosses.value
  return {
    id,
    title,
    unit: findUnit(unit)?.shown ?? (unit || 'reading'),
    readings: series.readings.map(({ atMs, value, min, max }) => ({
      atMs,
      value: toOrNull(value),
      min: toOrNull(min),
      max: toOrNull(max),
      ...(value === null ? { words: 'no number' } : {}),
    })),
    breaks: series.breaks,
    fit: fitOf(entry, to),
    crossing: crossing && { ...crossing, limit: to(crossing.limit) },
  }
}

/** The robust line over the stretch it was fitted to, and on to the limit where a date is given. */
function fitOf(
  { readings, drift }: Pick<DriftEntry, 'readings' | 'drift'>,
  to: (value: number) => number,
): DriftChart['fit'] {
  const { slope, fromMs, trend } = drift
  const lastMs = readings.at(-1)?.atMs
  if (slope === null || trend === null || trend.chance > 0.05 || lastMs === undefined) return null
  const at = (ms: number) => to(slope.intercept + (slope.slope * (ms - fromMs)) / dayMs)
  const toMs = Math.max(lastMs, drift.crosses.value?.atMs ?? lastMs)
  return { fromMs, from: at(fromMs), toMs, to: at(toMs) }
}

/** The prefix the middle reading reads best in, for all of them. */
function readableUnit(values: (number | null)[], base: string): string {
  const numbers = values.filter(value => value !== null).sort((a, b) => a - b)
  const middle = numbers[Math.floor(numbers.length / 2)]
  if (middle === undefined || findUnit(base) === null) return base
  const shown = formatQuantity(middle, base).replace(/^[^\p{L}%°µΩ]+/u, '')
  return [base, ...prefixed(base)].find(unit => findUnit(unit)?.shown === shown) ?? base
}

function prefixed(base: string): string[] {
  return ['n', 'µ', 'm', 'k', 'M', 'G'].flatMap(prefix => withPrefix(base, prefix)?.symbol ?? [])
}
