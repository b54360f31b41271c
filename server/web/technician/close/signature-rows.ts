import type { SummaryRow } from '../../partials.ts'
import type { FaultInHand } from '../attend/fault-in-hand.ts'
import { placeInWalk } from '../check/place-in-walk.ts'

/** What will be signed, in few lines; `closing`: the form as it was sent. */
export function signatureRows(fault: FaultInHand, closing: Record<string, unknown>): SummaryRow[] {
  const { place } = fault.walk
  const open = placeInWalk(fault).disturbed?.count ?? 0
  return [
    { key: 'Fault', value: fault.record.fault.symptom },
    { key: 'Ends as', value: `${closing.outcome}${closing.clearedItself ? ', cleared itself' : ''}` },
    { key: 'Cause', value: place.kind === 'cause' ? place.cause.title : 'none named' },
    { key: 'Changed', value: text(closing.changed) },
    { key: 'To know', value: text(closing.words) },
    { key: 'Disturbed', value: `${fault.disturbed.length} in all, ${open} not put back` },
  ]
}

function text(value: unknown): string {
  return typeof value === 'string' ? value : ''
}
