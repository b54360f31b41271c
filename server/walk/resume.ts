// Coming back after a break: how long, what was done last, what comes first.

import type { Knowledge } from '../knowledge/types.ts'
import { handoverSummary } from './handover.ts'
import { openAttendance } from './identity.ts'
import type { NarratedRow } from './narrate.ts'
import type { FaultRecord } from './record.ts'

export interface Resume {
  /** Whole minutes since the last entry, or since the attendance began; never negative. */
  awayMinutes: number
  /** Null when nothing is on record yet. Worth looking at again. */
  lastDone: NarratedRow | null
  firstNotDone: string
}

/** `now` is UTC ISO text. */
export function resume(knowledge: Knowledge, record: FaultRecord, now: string): Resume {
  const { history, next } = handoverSummary(knowledge, record)
  const lastDone = history.at(-1) ?? null
  const began = openAttendance(record)?.startedAt ?? record.fault.reportedAt
  const since = lastDone && lastDone.at > began ? lastDone.at : began
  const awayMinutes = Math.max(0, Math.floor((Date.parse(now) - Date.parse(since)) / 60_000))
  return { awayMinutes, lastDone, firstNotDone: next }
}
