// Unseen failures: positions whose failure is not shown to the signaller.

import type { Explained } from '../history/explained.ts'
import { groupBy } from '../history/group-by.ts'
import {
  compareIntervals,
  type DeadShare,
  deadChance,
  explainDeadShare,
  type OtherInterval,
  type VisitState,
  visitState,
} from '../history/positions/dead-time.ts'
import type { Exposed } from '../history/positions/offenders.ts'
import { looksOf, type Sighting } from '../history/positions/sightings.ts'
import { type UnseenRate, unseenRate } from '../history/positions/unseen-rate.ts'
import type { HistoryPosition } from '../storage/history/history.ts'
import type { History } from '../storage/storage.ts'
import { exposedIn, type Past } from './past.ts'

export interface UnseenPosition {
  position: HistoryPosition
  /** null when it was never seen working since it was put in service: then from that day. */
  seenMs: number | null
  /** null when no interval is set for its kind. */
  state: VisitState['state'] | null
  visit: VisitState
  /** Chance that it stands dead now, at the rate of its kind; null without a rate. `atMost`: none was found dead. */
  deadNow: { chance: number; atMost: boolean } | null
}

export interface UnseenKind {
  kind: string
  /** The depot's interval between rounds for this kind; null when none is set. */
  intervalDays: number | null
  positions: number
  /** Reported in the window, on a round or not. */
  faults: number
  /** The one rate that all figures of the kind stand on. */
  rate: Explained<UnseenRate | null>
  /** null without a rate or without an interval. */
  dead: Explained<DeadShare> | null
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
  const sightings = groupBy(history.ofPosition.sightings(), one => one.equipment)
  const kinds: UnseenKind[] = []
  const positions: UnseenPosition[] = []
  for (const [kind, rows] of groupBy(unseen, row => row.kind)) {
    const made = kindOf(kind, rows, intervals.get(kind) ?? null, sightings.get(kind) ?? [], past)
    kinds.push(made)
    for (const row of rows) positions.push(...positionOf(row, made, healthy.get(row.id) ?? null, past))
  }
  const chance = ({ deadNow }: UnseenPosition) => deadNow?.chance ?? -1
  positions.sort((a, b) => chance(b) - chance(a) || a.visit.dueMs - b.visit.dueMs)
  return { kinds, positions }
}

function kindOf(
  kind: string,
  rows: Exposed[],
  intervalDays: number | null,
  sightings: Sighting[],
  past: Past,
): UnseenKind {
  const rate = unseenRate(looksOf(sightings, past.window, past.gaps))
  const agreed = intervalDays === null ? [] : [intervalDays]
  const intervals = [...new Set([...usualIntervals, ...agreed])].sort((a, b) => a - b)
  return {
    kind,
    intervalDays,
    positions: rows.length,
    faults: rows.reduce((sum, row) => sum + row.faults, 0),
    rate,
    dead: rate.value === null || intervalDays === null ? null : explainDeadShare(rate.value, intervalDays),
    others: rate.value === null ? [] : compareIntervals(rate.value, intervals),
  }
}

function positionOf(
  row: Exposed,
  { rate, intervalDays }: UnseenKind,
  seenMs: number | null,
  past: Past,
): UnseenPosition[] {
  const position = past.byId.get(row.id)
  if (position === undefined) return []
  const from = Math.max(seenMs ?? 0, position.inServiceMs)
  const visit = visitState(from, intervalDays ?? 365, past.asAtMs)
  return [
    {
      position,
      seenMs,
      visit,
      state: intervalDays === null ? null : visit.state,
      deadNow: rate.value === null ? null : deadNowAt(rate.value, visit.daysSinceHealthy),
    },
  ]
}

function deadNowAt({ perDay, high }: UnseenRate, days: number): UnseenPosition['deadNow'] {
  return { chance: deadChance(perDay || high, days), atMost: perDay === 0 }
}
