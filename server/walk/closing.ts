// What stands in the way of signing a fault off, as reasons the technician can act on.

import { causeKey, findCauseByKey } from '../knowledge/graph.ts'
import type { Knowledge } from '../knowledge/types.ts'
import { fuseUnanswered } from './blown-fuse.ts'
import { type DisturbedItem, disturbed, stillDisturbed } from './disturbed.ts'
import { type Walk, walk } from './place.ts'
import { proofsNeeded, repairOf } from './proof.ts'
import type { ClosureOutcome, FaultRecord } from './record.ts'
import { held, openAttendance } from './stage.ts'
import { type TestMade, testsMissing, testsWanted } from './tests-after-work.ts'

/** What the technician is about to sign. */
export interface ClosureDraft {
  outcome: ClosureOutcome
  /** `equipment/cause` for a probable cause; a proven one is where the walk stands. */
  cause: string | null
  clearedItself: boolean
  /** What was changed or adjusted, or that nothing was. */
  changed: string
  words: string
  /** Tests after work that passed. */
  testsAfterWork?: readonly TestMade[]
}

export const outcomes: ClosureOutcome[] = [
  'proven cause',
  'probable cause',
  'not reproduced',
  'not completed',
  'passed on',
]

interface Standing {
  knowledge: Knowledge
  record: FaultRecord
  walk: Walk
  open: DisturbedItem[]
}

/** Why this draft cannot be signed yet; empty when it can. */
export function blockers(knowledge: Knowledge, record: FaultRecord, draft: ClosureDraft): string[] {
  const where = walk(knowledge, record.fault.tree, record.findings)
  const open = stillDisturbed(disturbed(knowledge, where, record))
  const standing = { knowledge, record, walk: where, open }
  return [...always(record, draft), ...byOutcome(standing, draft)]
}

function always(record: FaultRecord, draft: ClosureDraft): string[] {
  const reasons = []
  if (record.closure) reasons.push('This fault is closed already.')
  else if (!openAttendance(record)) reasons.push('Nobody is attending this fault.')
  if (blank(draft.changed)) reasons.push('Say what was changed, or that nothing was.')
  if (draft.clearedItself && draft.outcome === 'proven cause') {
    reasons.push('A fault that cleared itself has no proven cause.')
  }
  return reasons
}

function byOutcome(standing: Standing, draft: ClosureDraft): string[] {
  switch (draft.outcome) {
    case 'proven cause':
      return [
        ...holding(standing),
        ...notRestored(standing),
        ...notRepaired(standing),
        ...notProved(standing),
        ...notTestedAfter(standing, draft),
      ]
    case 'probable cause':
      return [...holding(standing), ...notRestored(standing), ...noCause(standing, draft), ...wordless(draft)]
    case 'not reproduced':
      return [
        ...holding(standing),
        ...notTested(standing),
        ...notRestored(standing),
        ...repairUnproved(standing),
      ]
    case 'not completed':
    case 'passed on':
      return [...wordless(draft), ...notHandedOver(standing)]
  }
}

function holding({ walk: where, record }: Standing): string[] {
  return held(where, record) ? ['The evidence hold has not been released by an engineer.'] : []
}

/** A symptom that could not be looked for was not “not reproduced”. */
function notTested({ walk: { place } }: Standing): string[] {
  if (place.kind !== 'end' || place.end.means !== 'not tested') return []
  return ['The equipment was not tested: close it as not completed, or pass it on.']
}

function notRestored({ open }: Standing): string[] {
  return open.map(item => `Not put back yet: ${item.item}.`)
}

function notRepaired({ record, walk: where }: Standing): string[] {
  if (where.place.kind !== 'cause') return ['The walk has not reached a cause.']
  const { title } = where.place.cause
  const repair = repairOf(record, causeKey(where.place.cause))
  if (!repair) return [`No repair of “${title}” is on record.`]
  if (repair.action === 'reset') return ['A reset is no repair: it proves no cause.']
  if (repair.action === 'nothing changed') return ['Nothing was changed, so no cause is proved.']
  const unanswered = fuseUnanswered(repair)
  return unanswered ? [unanswered] : []
}

function notProved({ knowledge, walk: where, record }: Standing): string[] {
  return proofsNeeded(knowledge, where, record).flatMap(item => {
    if (item.state === 'passed') return []
    const loose = item.setAside?.disturbed.map(one => one.item).join('; ')
    const what = item.kind === 'symptom' ? `the symptom (${item.symptom})` : `“${item.check.title}”`
    if (loose) return [`Prove again: ${what}. Not back when it was proved: ${loose}.`]
    return [item.state === 'failed' ? `The proof failed: ${what}.` : `Not proved yet: ${what}.`]
  })
}

/** What the railway has tested after this repair; who signs is who attends. */
function notTestedAfter({ knowledge, record, walk: { place } }: Standing, draft: ClosureDraft): string[] {
  if (place.kind !== 'cause') return []
  const signer = openAttendance(record)?.personName ?? ''
  return testsMissing(testsWanted(knowledge, place.cause), draft.testsAfterWork ?? [], signer)
}

function noCause({ knowledge, walk: where }: Standing, draft: ClosureDraft): string[] {
  if (where.place.kind === 'cause' && draft.cause === null) return []
  if (draft.cause !== null && findCauseByKey(knowledge, draft.cause)) return []
  return ['Say which cause is the probable one.']
}

function repairUnproved(standing: Standing): string[] {
  const { place } = standing.walk
  const repair = place.kind === 'cause' ? repairOf(standing.record, causeKey(place.cause)) : null
  const changed = repair && repair.action !== 'nothing changed' && repair.action !== 'reset'
  return changed ? notProved(standing) : []
}

function wordless(draft: ClosureDraft): string[] {
  return blank(draft.words) ? ['Say in words how it stands, for whoever comes next.'] : []
}

/** What stays disturbed must be named to somebody. */
function notHandedOver({ record, open }: Standing): string[] {
  const standing = record.handovers.filter(({ withdrawnAt }) => withdrawnAt === null)
  const named = new Set(standing.flatMap(handover => handover.items.map(item => item.key)))
  return open
    .filter(item => !named.has(item.key))
    .map(item => `Still disturbed and in no handover: ${item.item}.`)
}

function blank(text: string): boolean {
  return text.trim() === ''
}
