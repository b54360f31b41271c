// Whether a repair is proved: the checks the cause names, done again, and the symptom looked at again.

import { causeKey, findCheck, refKey, refOf } from '../knowledge/graph.ts'
import type { Cause, Check, Knowledge } from '../knowledge/types.ts'
import { effectiveFindings, type Walk } from './place.ts'
import type { FaultRecord, Proof, Repair } from './record.ts'

export type ProofItem =
  | { kind: 'check'; check: Check; state: ProofState; proof: Proof | null }
  | { kind: 'symptom'; symptom: string; state: ProofState; proof: Proof | null }

export type ProofState = 'to do' | 'passed' | 'failed'

/** Which round of repairs the fault is in: the number of causes ruled out so far. */
export function round(record: FaultRecord): number {
  return effectiveFindings(record.findings).effective.filter(finding => finding.kind === 'rejection').length
}

/**
 * The repair now to be proved: the last one of this cause
 * since it was last ruled out. Null when there is none.
 */
export function repairOf(record: FaultRecord, cause: string): Repair | null {
  const { effective } = effectiveFindings(record.findings)
  const ruledOut = effective.filter(finding => finding.kind === 'rejection' && finding.cause === cause)
  const from = ruledOut.map(finding => finding.at).sort()
  const since = from.at(-1) ?? ''
  return record.repairs.findLast(repair => repair.cause === cause && repair.at > since) ?? null
}

/**
 * What proves the repair at the cause where the walk stands, with how far it
 * has got; empty elsewhere. Only proofs made after the last repair count: a
 * second repair wants everything again. The last word on each item stands.
 */
export function proofsNeeded(knowledge: Knowledge, walk: Walk, record: FaultRecord): ProofItem[] {
  if (walk.place.kind !== 'cause') return []
  const { cause } = walk.place
  const proofs = proofsThatCount(record, cause)
  const checks = cause.prove.flatMap(ref => findCheck(knowledge, ref) ?? [])
  return [
    ...checks.map(check => checkItem(check, proofs)),
    item(
      { kind: 'symptom', symptom: record.fault.symptom },
      proofs.findLast(proof => proof.kind === 'symptom'),
    ),
  ]
}

function proofsThatCount(record: FaultRecord, cause: Cause): Proof[] {
  const key = causeKey(cause)
  const repair = repairOf(record, key)
  if (!repair) return []
  const now = round(record)
  return record.proofs.filter(proof => proof.cause === key && proof.round === now && proof.at >= repair.at)
}

function checkItem(check: Check, proofs: Proof[]): ProofItem {
  const key = refKey(refOf(check))
  const proof = proofs.findLast(made => made.kind !== 'symptom' && refKey(made.check) === key)
  return item({ kind: 'check', check }, proof)
}

function item<What extends object>(what: What, proof: Proof | undefined) {
  const state: ProofState = proof ? (proof.passed ? 'passed' : 'failed') : 'to do'
  return { ...what, state, proof: proof ?? null }
}
