// One position: everything on record on one line of time, how it compares, what drifts, and what was done about it.

import { cumulativePlot } from '../../../charts/cumulative-plot.ts'
import { driftChart } from '../../../charts/drift-chart.ts'
import type { Window } from '../../../history/basis.ts'
import { gapsWithin, isKnown } from '../../../history/known.ts'
import { serviceDays } from '../../../history/positions/exposure.ts'
import { explainOffender } from '../../../history/positions/offenders.ts'
import { driftOf } from '../../../history/readings/drift.ts'
import { cutAtBreaks } from '../../../history/readings/series.ts'
import { faultTrend } from '../../../history/time/fault-trend.ts'
import { meanTimeBetween } from '../../../history/time/mean-time-between.ts'
import { driftPicture } from '../../../review/drift/drift-picture.ts'
import { driftWords } from '../../../review/drift/drift-words.ts'
import { readingsBackMs } from '../../../review/drift/drifts.ts'
import { spansUpTo } from '../../../review/past.ts'
import { timelineOf } from '../../../review/timeline.ts'
import type { PositionFault } from '../../../storage/history/history-position.ts'
import type { ReadingSeries } from '../../../storage/history/history-readings.ts'
import type { Position } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { frame } from './pages.ts'
import { faultsTable, repeatsHere, reviewsTable } from './position-tables.ts'
import type { ReviewWords } from './review-words.ts'

export const show = (deps: Deps) => (req: Request) => {
  return page('engineer/review/position', positionLocals(deps, req))
}

/** Also what the case file is made of. 'not found' when there is no such position. */
export function positionLocals(deps: Deps, req: Request) {
  const position = deps.storage.positions.get(String(req.params.position))
  const { asked, core, names, common } = frame(deps, req)
  const { history, reviews, delays } = deps.storage
  const nowMs = deps.clock().getTime()
  const window = { ...core.past.window, toMs: asked.to === '' ? nowMs : core.past.window.toMs }
  const faults = history.ofPosition.faults(position.id, window)
  const { known, days, end } = knownCourse(faults, position, spansUpTo(core.past, nowMs), window)
  const trend = faultTrend(days, { by: 'time', at: end })
  const meanTime = meanTimeBetween(known.length, end, trend)
  const compared = core.offenders.byPosition.get(position.id)
  const series = history.readings.ofPosition(position.id, nowMs - readingsBackMs)
  return {
    ...common,
    title: `${position.siteName}: ${position.name}`,
    position,
    faults: faults.toReversed(),
    faultsTable: faultsTable(
      faults.map(fault => ({ ...fault, delay: delays.find(fault.id) })).reverse(),
      common,
    ),
    compared: compared === undefined ? null : explainOffender(compared),
    repeats: repeatsHere(core.repeats.positions, position.id, common),
    trend,
    meanTime,
    meanTimeWords: meanTime.words.endsWith('.') ? meanTime.words : `${meanTime.words}.`,
    timeline: timelineOf(deps, names, position.id, window, faults, series),
    cumulative: cumulativeOf(days, end),
    drifts: driftsHere(series, common),
    reviews: reviews.listByPosition(position.id),
    reviewsTable: reviewsTable(reviews.listByPosition(position.id), deps.times),
  }
}

/** Its faults of known time, each in days of known service since the window began, and how many those were in all. */
function knownCourse(faults: PositionFault[], position: Position, spans: Window[], window: Window) {
  const service = {
    inServiceMs: Date.parse(position.inService),
    outOfServiceMs: timeOf(position.outOfService),
    outages: gapsWithin(spans, window),
  }
  const startMs = Math.max(window.fromMs, service.inServiceMs)
  const since = (toMs: number) => serviceDays(service, { fromMs: startMs, toMs })
  const known = faults.filter(fault => isKnown(spans, fault.atMs))
  return { known, days: known.map(fault => since(fault.atMs)), end: since(window.toMs) }
}

/** The position's own count over time: a straight line is steady. */
function cumulativeOf(days: number[], end: number) {
  const months = (day: number) => day / 30.4375
  const points = days.map((day, i) => ({ at: months(day), mean: i + 1, low: i + 1, high: i + 1 }))
  return cumulativePlot({
    id: 'cumulative',
    title: 'Faults counted up',
    groups: [{ name: 'here', points, end: months(end) }],
    atLabel: 'Months of the window',
    countLabel: 'Faults',
  })
}

function timeOf(text: string | null): number | null {
  return text === null ? null : Date.parse(text)
}

const fewestReadings = 3
const mostChecks = 8

/** The readings of each check at one position since the last work on it, drawn against their limits. */
function driftsHere(series: ReadingSeries[], { nameOf, day }: ReviewWords) {
  return series
    .filter(one => one.readings.filter(reading => reading.value !== null).length >= fewestReadings)
    .slice(0, mostChecks)
    .map((one, i) => {
      const readings = cutAtBreaks(one.readings, one.breaks).at(-1)?.readings ?? []
      const drift = driftOf(readings, [])
      const title = nameOf.check(one)
      const entry = { series: one, readings, drift }
      return {
        drift,
        caption: `${title}. ${driftWords(entry, null, day)}`,
        chart: driftChart(driftPicture(`check-${i}`, entry, title)),
      }
    })
}
