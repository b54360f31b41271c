// Whether a repair is proved: the checks the cause names, done again, and the symptom looked at again. A proof taken
// while something that bears on it was disturbed is none, however it came out.

import { causeKey, findCheck, refKey, refOf } from '../knowledge/graph.ts'
import type { Cause, Check, Knowledge } from '../knowledge/types.ts'
import { bearingOn, disturbedAt } from './bearing.ts'
import { type DisturbedItem, disturbed } from './disturbed.ts'
import { effectiveFindings, type Walk } from './place.ts'
import type { FaultRecord, Proof, Repair, WalkEntries } from './record.ts'

export type ProofItem = ({ kind: 'check'; check: Check } | { kind: 'symptom'; symptom: string }) & {
  state: ProofState
  proof: Proof | null
  /** The last proof made, where it does not count; null where it counts or there is none. */
  setAside: SetAside | null
}

/** A proof that is none, and what was disturbed when it was taken. */
export interface SetAside {
  proof: Proof
  disturbed: DisturbedItem[]
}

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
 * second repair wants everything again. The last word on each item stands; where
 * that does not count, the item is to do again.
 */
export function proofsNeeded(
  knowledge: Knowledge,
  walk: Walk,
  record: FaultRecord,
  items: DisturbedItem[] = disturbed(knowledge, walk, record),
): ProofItem[] {
  if (walk.place.kind !== 'cause') return []
  const { cause } = walk.place
  const proofs = proofsOfRepair(record, cause)
  const stand = (proof: Proof | undefined) => standing(knowledge, items, proof)
  const checks = cause.prove.flatMap(ref => findCheck(knowledge, ref) ?? [])
  const symptom = proofs.findLast(proof => proof.kind === 'symptom')
  return [
    ...checks.map(check => ({ kind: 'check' as const, check, ...stand(lastAt(check, proofs)) })),
    { kind: 'symptom', symptom: record.fault.symptom, ...stand(symptom) },
  ]
}

/**
 * What was disturbed when the proof was taken and bears on it: it proves nothing then. By id of the proof;
 * proofs that count are left out.
 */
export function proofsSetAside(
  knowledge: Knowledge,
  record: Pick<WalkEntries, 'proofs'>,
  items: DisturbedItem[],
): Map<string, DisturbedItem[]> {
  const all = record.proofs.map(proof => [proof.id, against(knowledge, items, proof)] as const)
  return new Map(all.filter(([, bearing]) => bearing.length > 0))
}

function proofsOfRepair(record: FaultRecord, cause: Cause): Proof[] {
  const key = causeKey(cause)
  const repair = repairOf(record, key)
  if (!repair) return []
  const now = round(record)
  return record.proofs.filter(proof => proof.cause === key && proof.round === now && proof.at >= repair.at)
}

function lastAt(check: Check, proofs: Proof[]): Proof | undefined {
  const key = refKey(refOf(check))
  return proofs.findLast(made => made.kind !== 'symptom' && refKey(made.check) === key)
}

function standing(
  knowledge: Knowledge,
  items: DisturbedItem[],
  proof: Proof | undefined,
): Pick<ProofItem, 'state' | 'proof' | 'setAside'> {
  if (!proof) return { state: 'to do', proof: null, setAside: null }
  const bearing = against(knowledge, items, proof)
  if (bearing.length > 0) return { state: 'to do', proof: null, setAside: { proof, disturbed: bearing } }
  return { state: proof.passed ? 'passed' : 'failed', proof, setAside: null }
}

function against(knowledge: Knowledge, items: DisturbedItem[], proof: Proof): DisturbedItem[] {
  const open = disturbedAt(items, proof.at, `proof:${proof.id}`)
  if (open.length === 0) return open
  return bearingOn(knowledge, proof.kind === 'symptom' ? null : findCheck(knowledge, proof.check), open)
}
