// What tablets recorded without signal and what had happened meanwhile, in words.

import type { ArrivedAct } from '../../../storage/storage.ts'
import type { FaultRecord, Signature } from '../../../walk/record.ts'
import type { Deps } from '../../deps.ts'

export interface LateEntry {
  title: string
  /** What the form said. */
  said: string
  /** Whether the record has it, or why it stands apart. */
  standing: string
  /** A sentence each. */
  changes: string[]
}

/** Acts that arrived after the record had moved on, oldest first. */
export function arrivedLate({ storage, times }: Deps, faultId: string): LateEntry[] {
  const acts = storage.shifts.listLate(faultId)
  return acts.map(act => ({
    title: `${act.byName}, done ${times.moment(act.doneAt)}, arrived ${times.moment(act.arrivedAt)}`,
    said: Object.entries(act.fields)
      .flatMap(([name, text]) => (unsaid.has(name) || !text ? [] : [`${name}: ${text}`]))
      .join('; '),
    standing: standingWords(act),
    changes: isLastWord(act, acts) ? (act.changes?.split('\n') ?? []) : [],
  }))
}

function standingWords({ apart, beside }: ArrivedAct): string {
  if (apart !== null) return `Stands apart, and is not part of the record: ${apart}`
  return `Is part of the record, at the time it was done. ${beside ?? ''}`
}

/** What stands apart of one shift is tried together: the newest says what all of it changes. */
function isLastWord(act: ArrivedAct, all: ArrivedAct[]): boolean {
  if (act.apart === null) return true
  return all.findLast(one => one.apart !== null && one.shiftId === act.shiftId) === act
}

/** Made with a form, and not typed. */
const unsaid = new Set(['id', 'signatureId', 'offered', 'return', 'seen', 'itemKey'])

/** "Signed without signal …"; null where all that was on record was seen by whoever signed. */
export function notSeenWords(record: FaultRecord, { unseen }: Pick<Signature, 'unseen'>): string | null {
  if (unseen.length === 0) return null
  const { findings, disturbances, restorations, repairs, proofs, handovers } = record
  const rows = [findings, disturbances, restorations, repairs, proofs, handovers].flat()
  const names = [...new Set(rows.filter(({ id }) => unseen.includes(id)).map(({ byName }) => byName))]
  const whose = names.length > 0 ? ` of ${names.sort().join(' and ')}` : ''
  return `Signed without signal. The signature stands for what was signed: entries${whose} that had arrived by then are not part of it.`
}
