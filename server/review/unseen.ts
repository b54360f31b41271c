// Unseen failures: positions whose failure is not shown to the signaller.

import type { Explained } from '../history/explained.ts'
import { groupBy } from '../history/group-by.ts'
import {
  compareIntervals,
  explainDeadShare,
  type OtherInterval,
  type VisitState,
  visitState,
} from '../history/positions/dead-time.ts'
import { fitKind, type KindFit, posteriorRate } from '../history/positions/kind-fit.ts'
import type { Exposed } from '../history/positions/offenders.ts'
import { type UnseenRate, unseenRate, type Visit } from '../history/positions/unseen-rate.ts'
import type { HistoryPosition } from '../storage/history/history.ts'
import type { History } from '../storage/storage.ts'
import { exposedIn, type Past } from './past.ts'

export interface UnseenPosition {
  position: HistoryPosition
  faults: number
  /** Its likely failures a day: its own count drawn towards its kind. */
  perDay: number
  /** null when it was never seen working since it was put in service: then from that day. */
  seenMs: number | null
  /** null when no interval is set for its kind. */
  state: VisitState['state'] | null
  visit: VisitState
}

export interface UnseenKind {
  kind: string
  /** The depot's interval between rounds for this kind; null when none is set. */
  intervalDays: number | null
  positions: number
  faults: number
  serviceDays: number
  fit: KindFit | null
  dead: Explained | null
  /** What the rounds themselves say of the rate. */
  byRounds: Explained<UnseenRate | null>
  others: OtherInterval[]
}

export interface UnseenFigures {
  kinds: UnseenKind[]
  /** Those most likely to stand dead now first. */
  positions: UnseenPosition[]
}

const usualIntervals = [30, 60, 90, 180, 365]

/** `intervals`: days between rounds by kind of equipment, for those that have any set. */
export function unseenIn(history: History, past: Past, intervals: Map<string, number>): UnseenFigures {
  const unseen = exposedIn(past).filter(row => past.byId.get(row.id)?.indicated === false)
  const healthy = history.ofPosition.lastHealthy(unseen.map(row => row.id))
  const rounds = groupBy(history.ofPosition.unseenRounds(), one => one.equipment)
  const kinds: UnseenKind[] = []
  const positions: UnseenPosition[] = []
  for (const [kind, rows] of groupBy(unseen, row => row.kind)) {
    const intervalDays = intervals.get(kind) ?? null
    const visits = (rounds.get(kind) ?? []).map(one => one.visit)
    const made = kindOf(kind, rows, intervalDays, visits)
    kinds.push(made)
    for (const row of rows) positions.push(...positionOf(row, made, healthy.get(row.id) ?? null, past))
  }
  positions.sort((a, b) => b.visit.deadNow - a.visit.deadNow || a.visit.dueMs - b.visit.dueMs)
  return { kinds, positions }
}

function kindOf(kind: string, rows: Exposed[], intervalDays: number | null, visits: Visit[]): UnseenKind {
  const fit = fitKind(
    rows.map(row => row.faults),
    rows.map(row => row.serviceDays),
  )
  const agreed = intervalDays === null ? [] : [intervalDays]
  const intervals = [...new Set([...usualIntervals, ...agreed])].sort((a, b) => a - b)
  return {
    kind,
    intervalDays,
    positions: rows.length,
    fit,
    faults: rows.reduce((sum, row) => sum + row.faults, 0),
    serviceDays: rows.reduce((sum, row) => sum + row.serviceDays, 0),
    dead: fit === null || intervalDays === null ? null : explainDeadShare(fit.mean, intervalDays),
    byRounds: unseenRate(visits),
    others: fit === null ? [] : compareIntervals(fit.mean, intervals),
  }
}

function positionOf(
  row: Exposed,
  { fit, intervalDays }: UnseenKind,
  seenMs: number | null,
  past: Past,
): UnseenPosition[] {
  const position = past.byId.get(row.id)
  if (position === undefined) return []
  const perDay = fit === null ? 0 : posteriorRate(fit, row.faults, row.serviceDays)
  const from = Math.max(seenMs ?? 0, position.inServiceMs)
  const visit = visitState(from, intervalDays ?? 365, perDay, past.asAtMs)
  return [
    {
      position,
      faults: row.faults,
      perDay,
      seenMs,
      visit,
      state: intervalDays === null ? null : visit.state,
    },
  ]
}
