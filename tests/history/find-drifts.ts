import { standOut } from '../../server/history/false-discovery.ts'
import { type Drift, driftOf } from '../../server/history/readings/drift.ts'
import type { Break, SeriesReading } from '../../server/history/readings/series.ts'

/** Of many whole series, those whose trend stands out at a false-discovery rate of one in twenty, the surest first. */
export function findDrifts<Series extends { readings: readonly SeriesReading[]; breaks: readonly Break[] }>(
  all: Iterable<Series>,
): { series: Series; drift: Drift }[] {
  const drifts = Array.from(all, series => ({ series, drift: driftOf(series.readings, series.breaks) }))
  return standOut(drifts, found => found.drift.chance, 0.05).map(({ row }) => row)
}
