// Which row of a check a finding takes.

import { matchRow } from '../knowledge/match.ts'
import type { Check, Row } from '../knowledge/types.ts'
import type { CheckFinding } from './record.ts'

/**
 * `pointedAt` is the row the finding itself leads to; `row` the one taken, which a choice of the technician
 * overrules. Both null: nothing fits, or a row was chosen that the check does not have.
 */
export function rowOf(check: Check, finding: CheckFinding): { row: Row | null; pointedAt: Row | null } {
  const pointedAt = matchRow(check, finding)
  if (finding.chosenRow === null) return { row: pointedAt, pointedAt }
  const chosen = check.rows.find(row => sameWords(row.label, finding.chosenRow ?? ''))
  return { row: chosen ?? null, pointedAt }
}

function sameWords(a: string, b: string): boolean {
  return a.trim().toLowerCase() === b.trim().toLowerCase()
}
