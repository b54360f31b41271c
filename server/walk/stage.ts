// What comes next at a fault: the one thing the technician's next page asks for.

import { causeKey } from '../knowledge/graph.ts'
import type { Cause, Check, End, Knowledge } from '../knowledge/types.ts'
import { type DisturbedItem, disturbed, stillDisturbed } from './disturbed.ts'
import { acts, type Place, type Walk, walk } from './place.ts'
import { type ProofItem, proofsNeeded, repairOf } from './proof.ts'
import { protectionWords } from './protection.ts'
import type { Attendance, Closure, FaultRecord, Handover, Repair, WalkEntries } from './record.ts'

/** A record walked: where its findings lead, and what they disturbed, which is worked out when it is first asked for. */
export interface Walked {
  readonly walk: Walk
  readonly disturbed: DisturbedItem[]
}

export type Stage =
  | { kind: 'closed'; closure: Closure }
  | { kind: 'not attended' }
  | { kind: 'lost'; message: string }
  | { kind: 'held'; hold: Hold; check: Check | null }
  /** `check` is the check that waits for it; null at a cause. */
  | { kind: 'identify'; reason: IdentityNeed['reason']; check: Check | null }
  | { kind: 'check'; check: Check }
  /** A cause with no repair yet. */
  | { kind: 'cause'; cause: Cause }
  | { kind: 'choose'; after: string; offers: Check[] }
  /** Put back what is open, then close. */
  | { kind: 'end'; end: End; open: DisturbedItem[] }
  | { kind: 'put back'; cause: Cause; repair: Repair; open: DisturbedItem[] }
  /** `failed`: a proof failed, so the cause is to be ruled out or mended again. */
  | { kind: 'prove'; cause: Cause; repair: Repair; items: ProofItem[]; failed: boolean }
  /** Everything is back and proved: sign. */
  | { kind: 'close'; cause: Cause; repair: Repair }

/** The record's findings walked on the edition given. */
export function walked(knowledge: Knowledge, tree: string, record: WalkEntries): Walked {
  const where = walk(knowledge, tree, record.findings)
  let items: DisturbedItem[] | null = null
  return {
    walk: where,
    get disturbed() {
      items ??= disturbed(knowledge, where, record)
      return items
    },
  }
}

/** `now` is UTC ISO text; `breakMinutes` is how long without an entry counts as a break. */
export function stage(
  knowledge: Knowledge,
  record: FaultRecord,
  now: string,
  breakMinutes: number,
  stands: Walked = walked(knowledge, record.fault.tree, record),
): Stage {
  if (record.closure) return { kind: 'closed', closure: record.closure }
  if (!openAttendance(record)) return { kind: 'not attended' }
  const { place } = stands.walk
  const check = place.kind === 'check' ? place.check : null
  const hold = held(stands.walk, record)
  if (hold) return { kind: 'held', hold, check }
  const need = needsIdentity(stands.walk, record, now, breakMinutes)
  if (need) return { kind: 'identify', reason: need.reason, check }
  return atPlace(knowledge, record, stands)
}

function atPlace(knowledge: Knowledge, record: FaultRecord, stands: Walked): Stage {
  const { place } = stands.walk
  switch (place.kind) {
    case 'check':
      return { kind: 'check', check: place.check }
    case 'choose':
      return { kind: 'choose', after: place.after, offers: place.offers }
    case 'end':
      return { kind: 'end', end: place.end, open: stillDisturbed(stands.disturbed) }
    case 'lost':
      return { kind: 'lost', message: place.message }
    case 'cause':
      return atCause(knowledge, record, stands, place.cause)
  }
}

function atCause(knowledge: Knowledge, record: FaultRecord, stands: Walked, cause: Cause): Stage {
  const repair = repairOf(record, causeKey(cause))
  if (!repair) return { kind: 'cause', cause }
  const items = proofsNeeded(knowledge, stands.walk, record, stands.disturbed)
  const failed = items.some(item => item.state === 'failed')
  const open = stillDisturbed(stands.disturbed)
  // A failed proof is answered first: the walk goes on, and putting back comes again at its end.
  if (failed) return { kind: 'prove', cause, repair, items, failed }
  if (open.length > 0) return { kind: 'put back', cause, repair, open }
  const proved = items.every(item => item.state === 'passed')
  if (!proved) return { kind: 'prove', cause, repair, items, failed }
  return { kind: 'close', cause, repair }
}

/** Where protection may have been lost unseen, nothing is disturbed before an engineer says so. */
export interface Hold {
  protection: 'lost' | 'not known'
  /** Why the walk stops here, in words. */
  why: string
}

/** Whether the equipment must stay as found: protection may have been lost, and no engineer has released it. */
export function isEvidence({ fault, closure, holdReleases }: FaultRecord): boolean {
  return fault.protection !== 'kept' && closure === null && holdReleases.length === 0
}

/**
 * The hold that stops the walk where it stands, or null. Protection lost holds,
 * and so does protection not known: the safe side. It stops before a check that
 * disturbs and before a repair; checks that only look or measure go on.
 */
export function held(walk: Walk, record: FaultRecord): Hold | null {
  const { protection } = record.fault
  if (protection === 'kept' || !isEvidence(record) || !acts(walk.place)) return null
  const next =
    walk.place.kind === 'check'
      ? `The next check disturbs something: ${walk.place.check.disturbs}.`
      : 'The next thing to do is a repair.'
  return {
    protection,
    why: `${protectionWords[protection]} ${next} It would change what others must still see.`,
  }
}

/**
 * Is this the right equipment? The plate is read before the first reading and the first thing that acts on it, and
 * again after a break before anything more is disturbed.
 */
export interface IdentityNeed {
  reason: 'first reading' | 'first disturbing check' | 'after a break'
}

/**
 * Whether the plate must be read now, or null. Only a match made in the attendance now open counts. A break
 * is a stretch of more than `breakMinutes` without an entry of any kind, this moment included.
 */
export function needsIdentity(
  walk: Walk,
  record: FaultRecord,
  now: string,
  breakMinutes: number,
): IdentityNeed | null {
  const attendance = openAttendance(record)
  if (!attendance || !(acts(walk.place) || measures(walk.place))) return null
  const times = record.identities
    .filter(entry => entry.matched && entry.attendanceId === attendance.id)
    .map(entry => Date.parse(entry.at))
  if (times.length === 0) return { reason: acts(walk.place) ? 'first disturbing check' : 'first reading' }
  if (!acts(walk.place)) return null
  const matchedAt = Math.max(...times)
  return brokenSince(matchedAt, record, attendance, now, breakMinutes) ? { reason: 'after a break' } : null
}

function measures(place: Place): boolean {
  return place.kind === 'check' && place.check.does.kind === 'measure'
}

/** The attendance now open, or null. */
export function openAttendance(record: FaultRecord): Attendance | null {
  return record.attendances.findLast(attendance => attendance.endedAt === null) ?? null
}

/** The handover that waits for the next person: neither taken over nor taken back. Null when there is none. */
export function waitingHandover({ handovers, attendances }: FaultRecord): Handover | null {
  const newest = handovers.at(-1)
  if (!newest || newest.acceptedAt !== null || newest.withdrawnAt !== null) return null
  const attendance = attendances.find(({ id }) => id === newest.attendanceId)
  return attendance?.endedAt === null ? newest : null
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
