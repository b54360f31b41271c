// What comes next at a fault: the one thing the technician's next page asks for.

import { causeKey } from '../knowledge/graph.ts'
import type { Cause, Check, End, Knowledge } from '../knowledge/types.ts'
import { type DisturbedItem, disturbed, stillDisturbed } from './disturbed.ts'
import { type Hold, held } from './hold.ts'
import { type IdentityNeed, needsIdentity, openAttendance } from './identity.ts'
import { type Walk, walk } from './place.ts'
import { type ProofItem, proofsNeeded, repairOf } from './proof.ts'
import type { Closure, FaultRecord, Repair } from './record.ts'

export type Stage = { walk: Walk; disturbed: DisturbedItem[] } & (
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
)

/** `now` is UTC ISO text; `breakMinutes` is how long without an entry counts as a break. */
export function stage(knowledge: Knowledge, record: FaultRecord, now: string, breakMinutes: number): Stage {
  const where = walk(knowledge, record.fault.tree, record.findings)
  const common = { walk: where, disturbed: disturbed(knowledge, where, record) }
  if (record.closure) return { kind: 'closed', ...common, closure: record.closure }
  if (!openAttendance(record)) return { kind: 'not attended', ...common }
  const check = where.place.kind === 'check' ? where.place.check : null
  const hold = held(knowledge, where, record)
  if (hold) return { kind: 'held', ...common, hold, check }
  const need = needsIdentity(knowledge, where, record, now, breakMinutes)
  if (need) return { kind: 'identify', ...common, reason: need.reason, check }
  return atPlace(knowledge, record, common)
}

type Common = { walk: Walk; disturbed: DisturbedItem[] }

function atPlace(knowledge: Knowledge, record: FaultRecord, common: Common): Stage {
  const { place } = common.walk
  switch (place.kind) {
    case 'check':
      return { kind: 'check', ...common, check: place.check }
    case 'choose':
      return { kind: 'choose', ...common, after: place.after, offers: place.offers }
    case 'end':
      return { kind: 'end', ...common, end: place.end, open: stillDisturbed(common.disturbed) }
    case 'lost':
      return { kind: 'lost', ...common, message: place.message }
    case 'cause':
      return atCause(knowledge, record, common, place.cause)
  }
}

function atCause(knowledge: Knowledge, record: FaultRecord, common: Common, cause: Cause): Stage {
  const repair = repairOf(record, causeKey(cause))
  if (!repair) return { kind: 'cause', ...common, cause }
  const items = proofsNeeded(knowledge, common.walk, record)
  const failed = items.some(item => item.state === 'failed')
  const open = stillDisturbed(common.disturbed)
  // A failed proof is answered first: the walk goes on, and putting back comes again at its end.
  if (failed) return { kind: 'prove', ...common, cause, repair, items, failed }
  if (open.length > 0) return { kind: 'put back', ...common, cause, repair, open }
  const proved = items.every(item => item.state === 'passed')
  if (!proved) return { kind: 'prove', ...common, cause, repair, items, failed }
  return { kind: 'close', ...common, cause, repair }
}
