// The record told as plain rows in order of time, for the record page and for a handover.

import { findCauseByKey, findCheck } from '../knowledge/graph.ts'
import type { CheckRef, Knowledge } from '../knowledge/types.ts'
import { formatReading } from '../measurement/readings/reading.ts'
import { fuseWords } from './blown-fuse.ts'
import { type DisturbedItem, disturbed } from './disturbed.ts'
import { becauseNow } from './meanings.ts'
import { type Walk, walk } from './place.ts'
import { proofsSetAside } from './proof.ts'
import type { Finding, Handover, Proof, Repair, Restoration, WalkEntries } from './record.ts'

export interface NarratedRow {
  /** Id of the entry it tells of. */
  id: string
  at: string
  byName: string
  kind:
    | 'finding'
    | 'departure'
    | 'rejection'
    | 'disturbed'
    | 'put back'
    | 'repair'
    | 'proof'
    | 'identity'
    | 'hold'
    | 'handover'
  /** What was looked at or done: a check's title, "Repair". */
  what: string
  /** What was found, as typed or seen, or what was done, in words. */
  found: string
  /** What followed from it; '' where nothing does. */
  because: string
  /** Who corrected it and why, or null. */
  struck: { byName: string; at: string; reason: string | null } | null
  offPath: boolean
  /** A proof that does not count, as something that bears on it was disturbed. */
  setAside: boolean
  deviation: boolean
}

/** Oldest first; entries of the same moment keep the order findings, work, proofs. */
export function narrate(knowledge: Knowledge, tree: string, record: WalkEntries): NarratedRow[] {
  const where = walk(knowledge, tree, record.findings)
  const loose = disturbed(knowledge, where, record)
  const items = new Map(loose.map(item => [item.key, item.item]))
  const setAside = proofsSetAside(knowledge, record, loose)
  const rows = [
    ...findingRows(knowledge, record, where),
    ...record.identities.map(entry =>
      row(
        entry,
        'identity',
        'Plate read',
        entry.matched ? entry.typed : `${entry.typed}: not the plate of this position`,
      ),
    ),
    ...record.holdReleases.map(entry => row(entry, 'hold', 'Evidence hold released', entry.reason)),
    ...record.disturbances.map(entry => row(entry, 'disturbed', 'Taken off, out or across', entry.item)),
    ...record.repairs.map(entry =>
      row(entry, 'repair', `Repair: ${causeTitle(knowledge, entry.cause)}`, repairWords(entry)),
    ),
    ...record.restorations.map(entry => row(entry, 'put back', 'Put back', putBackWords(entry, items))),
    ...record.proofs.map(entry => proofRow(knowledge, entry, setAside.get(entry.id) ?? [])),
    ...record.handovers.map(entry => row(entry, 'handover', 'Handed over', entry.nextStep)),
    ...record.handovers.flatMap(takenBack),
  ]
  return rows.sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0))
}

/** Whoever wrote it took the fault back. */
function takenBack({ id, byName, withdrawnAt }: Handover): NarratedRow[] {
  if (withdrawnAt === null) return []
  return [row({ id, byName, at: withdrawnAt }, 'handover', 'Taken back', 'the handover is void')]
}

function row(
  entry: { id: string; at: string; byName: string },
  kind: NarratedRow['kind'],
  what: string,
  found: string,
): NarratedRow {
  const { id, at, byName } = entry
  return {
    id,
    at,
    byName,
    kind,
    what,
    found,
    because: '',
    struck: null,
    offPath: false,
    setAside: false,
    deviation: false,
  }
}

function findingRows(knowledge: Knowledge, record: WalkEntries, where: Walk): NarratedRow[] {
  const steps = new Map(where.path.map(step => [step.finding.id, step]))
  const struck = new Map(where.struck.map(pair => [pair.old.id, pair.by]))
  const offPath = new Set(where.offPath.map(finding => finding.id))
  return [...record.findings]
    .sort((a, b) => a.seq - b.seq)
    .map(finding => {
      const step = steps.get(finding.id)
      const by = struck.get(finding.id)
      return {
        ...row(finding, kindOf(finding), titleOf(knowledge, finding), foundWords(finding)),
        because: step ? becauseNow(knowledge, where, step) : '',
        struck: by ? { byName: by.byName, at: by.at, reason: by.reason } : null,
        offPath: offPath.has(finding.id),
        deviation: step?.deviation ?? false,
      }
    })
}

function kindOf(finding: Finding): NarratedRow['kind'] {
  switch (finding.kind) {
    case 'reading':
    case 'observation':
    case 'cannot tell':
      return 'finding'
    case 'departure':
    case 'rejection':
      return finding.kind
  }
}

function titleOf(knowledge: Knowledge, finding: Finding): string {
  switch (finding.kind) {
    case 'reading':
    case 'observation':
    case 'cannot tell':
      return checkTitle(knowledge, finding.check)
    case 'departure':
      return 'Another check chosen'
    case 'rejection':
      return `Ruled out: ${causeTitle(knowledge, finding.cause)}`
  }
}

function foundWords(finding: Finding): string {
  switch (finding.kind) {
    case 'reading':
      return readWords(finding)
    case 'observation':
      return finding.word
    case 'cannot tell':
      return 'cannot tell'
    case 'departure':
    case 'rejection':
      return finding.reason ?? ''
  }
}

/** As typed; a reading that was worked out of it, with what was done. */
function readWords({ text, reading, taken }: Extract<Finding | Proof, { kind: 'reading' }>): string {
  const steps = taken?.correction?.steps ?? []
  return steps.length > 0 ? `${formatReading(reading)} (typed ${text}; ${steps.join(', ')})` : text
}

function repairWords({ action, swap, words, fuse }: Repair): string {
  const units = swap ? `, ${swap.serialOut} out, ${swap.serialIn} in` : ''
  const differs = swap?.differences?.length ? ` Said to be right: ${swap.differences.join(' ')}` : ''
  const blew = fuse ? ` ${fuseWords(fuse)}` : ''
  return `${action}${units}: ${words}${blew}${differs}`
}

function putBackWords({ itemKey, how, note }: Restoration, items: Map<string, string>): string {
  const item = items.get(itemKey)
  return `${item ? `${item}: ` : ''}${how}${note ? `, ${note}` : ''}`
}

function proofTitle(knowledge: Knowledge, proof: Proof): string {
  return proof.kind === 'symptom' ? 'Symptom looked at again' : `Proof: ${checkTitle(knowledge, proof.check)}`
}

/** `against` is what was disturbed when the proof was taken and bears on it: it does not count then. */
function proofRow(knowledge: Knowledge, proof: Proof, against: DisturbedItem[]): NarratedRow {
  const found = row(proof, 'proof', proofTitle(knowledge, proof), proofWords(proof))
  if (against.length === 0) return found
  return {
    ...found,
    setAside: true,
    because: `Does not count. Disturbed then: ${against.map(one => one.item).join('; ')}.`,
  }
}

function proofWords(proof: Proof): string {
  const words = proof.kind === 'reading' ? readWords(proof) : proof.word
  const by = proof.kind !== 'symptom' && proof.reason ? `, by: ${proof.reason}` : ''
  return `${words}: ${proof.passed ? 'passed' : 'failed'}${by}`
}

function checkTitle(knowledge: Knowledge, ref: CheckRef): string {
  return findCheck(knowledge, ref)?.title ?? ref.check
}

function causeTitle(knowledge: Knowledge, key: string): string {
  return findCauseByKey(knowledge, key)?.title ?? key
}
