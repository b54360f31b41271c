// Failures nobody sees: positions whose failure is not shown to the signaller.

import {
  compareIntervals,
  explainDeadShare,
  type OtherInterval,
  type VisitState,
  visitState,
} from '../../../history/dead-time.ts'
import type { Explained } from '../../../history/explained.ts'
import { groupBy } from '../../../history/group-by.ts'
import { fitKind, type KindFit } from '../../../history/kind-fit.ts'
import { posteriorRate } from '../../../history/posterior.ts'
import type { HistoryPosition } from '../../../storage/history.ts'
import type { History } from '../../../storage/storage.ts'
import { exposedIn, type Past } from './past.ts'

export interface UnseenPosition {
  position: HistoryPosition
  faults: number
  /** Its likely failures a day: its own count drawn towards its kind. */
  perDay: number
  /** null when it was never seen working since it was put in service: then from that day. */
  seenMs: number | null
  visit: VisitState
}

export interface UnseenKind {
  kind: string
  positions: number
  faults: number
  serviceDays: number
  fit: KindFit | null
  dead: Explained | null
  others: OtherInterval[]
}

export interface UnseenFigures {
  intervalDays: number
  kinds: UnseenKind[]
  /** Those most likely to stand dead now first. */
  positions: UnseenPosition[]
}

const intervals = [30, 60, 90, 180, 365]

export function unseenIn(history: History, past: Past, intervalDays: number): UnseenFigures {
  const unseen = exposedIn(past).filter(row => past.byId.get(row.id)?.indicated === false)
  const healthy = history.ofPosition.lastHealthy(unseen.map(row => row.id))
  const kinds = [...groupBy(unseen, row => row.kind)].map(([kind, rows]) => {
    const fit = fitKind(
      rows.map(row => row.faults),
      rows.map(row => row.serviceDays),
    )
    return { kind, rows, fit }
  })
  const positions = kinds.flatMap(({ rows, fit }) =>
    rows.flatMap(row => {
      const position = past.byId.get(row.id)
      if (position === undefined) return []
      const perDay = fit === null ? 0 : posteriorRate(fit, row.faults, row.serviceDays)
      const seenMs = healthy.get(row.id) ?? null
      const from = Math.max(seenMs ?? 0, position.inServiceMs)
      return [
        {
          position,
          faults: row.faults,
          perDay,
          seenMs,
          visit: visitState(from, intervalDays, perDay, past.asAtMs),
        },
      ]
    }),
  )
  return {
    intervalDays,
    kinds: kinds.map(({ kind, rows, fit }) => ({
      kind,
      positions: rows.length,
      faults: rows.reduce((sum, row) => sum + row.faults, 0),
      serviceDays: rows.reduce((sum, row) => sum + row.serviceDays, 0),
      fit,
      dead: fit === null ? null : explainDeadShare(fit.mean, intervalDays),
      others:
        fit === null
          ? []
          : compareIntervals(
              fit.mean,
              [...new Set([...intervals, intervalDays])].sort((a, b) => a - b),
            ),
    })),
    positions: positions.sort((a, b) => b.visit.deadNow - a.visit.deadNow || a.visit.dueMs - b.visit.dueMs),
  }
}
