// Why the walk went where it went, in a sentence.

import { subjectOf } from '../knowledge/graph.ts'
import type { Cause, Check, Row } from '../knowledge/types.ts'
import { capitalize } from '../words.ts'
import type { CheckFinding, DepartureFinding, RejectionFinding } from './record.ts'

/** "96.4 V AC is below 99 to 121 V AC, so: Nothing arrives." */
export function explainFinding(
  check: Check,
  finding: CheckFinding,
  row: Row | null,
  pointedAt: Row | null,
): string {
  const words = explainFound(check, finding)
  if (!row) return `${words}, and no row of this check stands for that: choose one.`
  if (row === pointedAt) return `${words}, so: ${row.means}`
  const choice = pointedAt ? `, but “${row.label}” was chosen` : `, and “${row.label}” was chosen`
  return `${words}${choice}${reasonOf(finding)}, so: ${row.means}`
}

/** `from` is the place that was left, in words. */
export function explainDeparture(from: string, to: Check, finding: DepartureFinding): string {
  const left = finding.suggested ? 'The suggested check was taken' : `The path was left at ${from}`
  return `${left}${reasonOf(finding)}, so: ${to.title}`
}

export function explainRejection(cause: Cause, finding: RejectionFinding): string {
  const why = finding.mended ? 'was mended and the symptom stayed' : 'was ruled out'
  return `“${cause.title}” ${why}${reasonOf(finding)}, so: the walk goes on.`
}

/** "96.4 V AC is below 99 to 121 V AC", without what it means. */
export function explainFound(check: Check, finding: CheckFinding): string {
  switch (finding.kind) {
    case 'reading':
      return finding.verdict.because || `${finding.text} was read`
    case 'observation':
      return `${capitalize(subjectOf(check))}: ${finding.word}`
    case 'cannot tell':
      return `${capitalize(subjectOf(check))}: it could not be told`
  }
}

function reasonOf(finding: { reason: string | null }): string {
  return finding.reason ? ` (${finding.reason})` : ''
}
