import type { FieldReport } from '../../../storage/knowledge/reports.ts'
import type { Mark } from '../../partials.ts'

/** A report from the field with how it stands and what it is about. */
export function shownReport(report: FieldReport, treeTitle: string, checkTitle: string) {
  const answered = report.answers.length > 0
  const mark: Mark = answered
    ? { kind: 'done', word: 'answered' }
    : { kind: 'waiting', word: 'no answer yet' }
  return { ...report, treeTitle, checkTitle, mark, severity: answered ? 'warning' : 'error' }
}
