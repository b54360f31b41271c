// Which readings drift towards their limits, and which stepped without any work on record.

import type { Explained } from '../../history/explained.ts'
import { standOut } from '../../history/false-discovery.ts'
import { dayMs } from '../../history/positions/exposure.ts'
import { type Drift, driftOf } from '../../history/readings/drift.ts'
import { mannKendall } from '../../history/readings/mann-kendall.ts'
import { type Break, cutAtBreaks, type SeriesReading } from '../../history/readings/series.ts'
import { explainStep, findUnrecordedWork, type Step } from '../../history/readings/steps.ts'
import { median } from '../../history/readings/theil-sen.ts'
import type { ReadingSeries, SeriesName } from '../../storage/history/history-readings.ts'
import type { History } from '../../storage/storage.ts'

export interface DriftEntry {
  series: ReadingSeries
  /** The stretch between two changes in which it drifted. */
  readings: SeriesReading[]
  drift: Drift
  adjusted: number
  /** The work that ended it; null while it goes on. */
  ended: Break | null
}

export interface DriftFigures {
  /** Stretches looked at: long enough to say anything, and wandering far enough to matter. */
  looked: number
  /**
   * Those that go on, the soonest to reach its limit first; then those that work has ended, the latest first.
   */
  found: DriftEntry[]
}

/**
 * A drift is slower than a window of faults: readings of five years are looked at, cut where work was done.
 */
export const readingsBackMs = 5 * 365.25 * dayMs
const fewest = 6

/** Of all checks at all positions, the drifts that stand out at a false-discovery rate of one in twenty. */
export function driftsIn(history: History, asAtMs: number): DriftFigures {
  const sinceMs = asAtMs - readingsBackMs
  const tested: { name: SeriesName; fromEnd: number; chance: number | null }[] = []
  for (const { positionId, tree, check, segments, min, max } of history.readings.short(sinceMs)) {
    segments.forEach((values, i) => {
      if (values.length < fewest || !mayMatter(values, min, max)) return
      const name = { positionId, tree, check }
      tested.push({ name, fromEnd: segments.length - i, chance: mannKendall(values)?.chance ?? null })
    })
  }
  const drifts = standOut(tested, t => t.chance, 0.05).flatMap(({ row, adjusted }) => {
    const series = history.readings.series(row.name, sinceMs)
    return series === null ? [] : entryOf(series, row.fromEnd, adjusted)
  })
  const order = ({ ended, drift }: DriftEntry) =>
    ended === null ? (drift.crosses.value?.atMs ?? 1e15) : 1e16 - ended.atMs
  return { looked: tested.length, found: drifts.sort((a, b) => order(a) - order(b)) }
}

/**
 * Whether the readings wander far enough to matter: over a quarter of the way
 * from their middle to a limit. This does not depend on their order, so that
 * leaving the steady ones out does not bend the chances of those looked at.
 */
function mayMatter(values: readonly number[], min: number | null, max: number | null): boolean {
  const spread = values.reduce((a, b) => Math.max(a, b)) - values.reduce((a, b) => Math.min(a, b))
  const middle = median(values)
  return [min, max].some(limit => limit !== null && spread >= Math.abs(limit - middle) / 4)
}

/** The stretch counted from the end, as the series was cut. */
function entryOf(series: ReadingSeries, fromEnd: number, adjusted: number): DriftEntry[] {
  const segments = cutAtBreaks(series.readings, series.breaks)
  const at = segments.length - fromEnd
  const segment = segments[at]
  if (segment === undefined) return []
  const drift = driftOf(segment.readings, [])
  return [{ series, readings: segment.readings, drift, adjusted, ended: segments[at + 1]?.after ?? null }]
}

export interface StepEntry {
  series: ReadingSeries
  step: Step
  explained: Explained<'probable unrecorded work'>
}

/**
 * Steps with no work of any kind on record at the position
 * between the last reading before and the first after.
 */
export function unrecordedWork(history: History, asAtMs: number): StepEntry[] {
  const long = function* () {
    for (const series of history.readings.all(asAtMs - readingsBackMs))
      if (cutAtBreaks(series.readings, series.breaks).some(s => s.readings.length >= fewest)) yield series
  }
  return findUnrecordedWork(long()).flatMap(({ series, step, ...among }) => {
    const between = { fromMs: step.beforeMs, toMs: step.afterMs + 1 }
    const recorded = history.ofPosition.work(series.positionId, between).length > 0
    return recorded ? [] : [{ series, step, explained: explainStep(step, among) }]
  })
}
