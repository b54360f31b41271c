// What comes first where train protection may have been lost. That the signaller is told at once and that all stays as
// found is common practice in every rule book; local rules come first.

import type { Fault, FaultRecord } from '../../../walk/record.ts'
import { isEvidence } from '../../../walk/stage.ts'

/** For the `evidence` partial. */
export interface Evidence {
  says: string
  first: string[]
}

/** In a sentence, for the head of the fault's page. */
export const protectionWords: Record<Fault['protection'], string> = {
  kept: 'Train protection was still working.',
  lost: 'Train protection was lost.',
  'not known': 'It is not known whether train protection was lost.',
}

/** Null where protection was still working, or an engineer has released the equipment, or the fault is closed. */
export function evidenceOf(record: FaultRecord): Evidence | null {
  if (!isEvidence(record)) return null
  const { protection } = record.fault
  return {
    says:
      protection === 'lost'
        ? 'Train protection was lost: treat this as a wrong-side failure.'
        : 'It is not known whether train protection was lost: treat this as a wrong-side failure.',
    first: [
      'Tell the signaller now, then control, as your local rules say.',
      'Leave everything as found. Reset nothing, open nothing, take no unit out.',
      'Write down, with the time: the telltale, the indications, the settings, the seals and the label of each unit. Take pictures.',
      'Write down who else is there, and what was touched before you came.',
      'Ring the engineer before anything is disturbed. Looks and readings go on; the walk stops at the first thing that disturbs.',
    ],
  }
}
