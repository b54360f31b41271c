// Is this the right equipment? The plate is read before the
// first thing that acts on it, and again after a break.

import type { Knowledge } from '../knowledge/types.ts'
import { acts, type Walk } from './place.ts'
import type { Attendance, FaultRecord } from './record.ts'

export interface IdentityNeed {
  reason: 'first disturbing check' | 'after a break'
}

/**
 * Whether the plate must be read now, or null. Only a match made in the attendance now open counts. A break
 * is a stretch of more than `breakMinutes` without an entry of any kind, this moment included.
 */
export function needsIdentity(
  _knowledge: Knowledge,
  walk: Walk,
  record: FaultRecord,
  now: string,
  breakMinutes: number,
): IdentityNeed | null {
  const attendance = openAttendance(record)
  if (!attendance || !acts(walk.place)) return null
  const times = record.identities
    .filter(entry => entry.matched && entry.attendanceId === attendance.id)
    .map(entry => Date.parse(entry.at))
  if (times.length === 0) return { reason: 'first disturbing check' }
  const matchedAt = Math.max(...times)
  return brokenSince(matchedAt, record, attendance, now, breakMinutes) ? { reason: 'after a break' } : null
}

/** The attendance now open, or null. */
export function openAttendance(record: FaultRecord): Attendance | null {
  return record.attendances.findLast(attendance => attendance.endedAt === null) ?? null
}

function brokenSince(
  matchedAt: number,
  record: FaultRecord,
  attendance: Attendance,
  now: string,
  minutes: number,
) {
  const times = entryTimes(record, attendance).filter(time => time > matchedAt)
  const marks = [matchedAt, ...times.sort((a, b) => a - b), Date.parse(now)]
  return marks.some((time, i) => i > 0 && time - (marks[i - 1] ?? time) > minutes * 60_000)
}

/** When this attendance wrote anything, in milliseconds. */
function entryTimes(record: FaultRecord, attendance: Attendance): number[] {
  const entries = [
    ...record.findings,
    ...record.disturbances,
    ...record.restorations,
    ...record.repairs,
    ...record.proofs,
    ...record.identities,
    ...record.handovers,
  ]
  return entries.filter(entry => entry.attendanceId === attendance.id).map(entry => Date.parse(entry.at))
}
