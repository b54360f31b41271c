// What comes first where train protection may have been lost. That the signaller is told at once and that all stays as
// found is common practice in every rule book; local rules come first.

import { protectionWords } from '../../../walk/protection.ts'
import type { FaultRecord } from '../../../walk/record.ts'
import { isEvidence } from '../../../walk/stage.ts'

/** For the `evidence` partial. */
export interface Evidence {
  says: string
  first: string[]
}

/** Null where protection was still working, or an engineer has released the equipment, or the fault is closed. */
export function evidenceOf(record: FaultRecord): Evidence | null {
  if (!isEvidence(record)) return null
  return {
    says: `${protectionWords[record.fault.protection]} Treat this as a wrong-side failure.`,
    first: [
      'Tell the signaller now, then control, as your local rules say.',
      'Leave everything as found. Reset nothing, open nothing, take no unit out.',
      'Write down, with the time: the telltale, the indications, the settings, the seals and the label of each unit. Take pictures.',
      'Write down who else is there, and what was touched before you came.',
      'Ring the engineer before anything is disturbed. Looks and readings go on; the walk stops at the first thing that disturbs.',
    ],
  }
}
