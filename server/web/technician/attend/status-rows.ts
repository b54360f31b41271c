import type { HandoverSummary } from '../../../walk/handover.ts'
import type { NarratedRow } from '../../../walk/narrate.ts'
import type { SummaryRow } from '../../partials.ts'

/** What comes next, where the fault stands, and which causes are ruled out. */
export function statusRows({ next, state, excluded }: HandoverSummary): SummaryRow[] {
  const ruledOut = excluded.length > 0 ? [{ key: 'Ruled out', value: excluded.join(', ') }] : []
  return [{ key: 'Next', value: next }, { key: 'State', value: state }, ...ruledOut]
}

/** What happened besides the findings that the list of checks shows already. */
export function besidesChecks(rows: NarratedRow[]): NarratedRow[] {
  return rows.filter(row => row.kind !== 'finding' || row.struck || row.offPath)
}
