// What the record says of each check and cause of a tree.

import type { CheckEvidence, EndEvidence } from '../../../diagnosis/judging/check-evidence.ts'
import type { Cause, Check } from '../../../knowledge/types.ts'
import type { FieldReport } from '../../../storage/knowledge/reports.ts'
import { columns, type Mark, numbers, row, type Table, type TableCell } from '../../partials.ts'

export interface CheckRecord {
  check: Check
  /** null when no walk came to it. */
  evidence: CheckEvidence | null
  reports: FieldReport[]
}

export interface CauseRecord {
  cause: Cause
  /** Checks on the shortest path; null when none leads there. */
  checks: number | null
  evidence: EndEvidence | null
}

const newestReasons = 12

export function byCheckTable(checks: CheckRecord[]): Table {
  return {
    caption: 'Check by check',
    columns: columns(
      'Check',
      numbers('Reached'),
      numbers('Changed the suspicion'),
      'Minutes taken',
      numbers('Left or overruled'),
      numbers('Reports'),
    ),
    rows: checks.map(({ check, evidence, reports }) =>
      row(
        { text: check.title, href: `#${check.slug}` },
        evidence?.reached ?? 0,
        evidence?.changedSuspicion ?? 0,
        minutesCell(check, evidence),
        evidence?.deviations ?? 0,
        reports.length,
      ),
    ),
  }
}

function minutesCell({ minutes }: Check, evidence: CheckEvidence | null): TableCell {
  const taken = evidence?.minutes
  return {
    text: taken ? `${taken.middle.toFixed(0)}, from ${taken.n}` : '–',
    note: minutes === null ? 'no Takes' : `Takes ${minutes}`,
  }
}

export function byCauseTable(causes: CauseRecord[]): Table {
  return {
    caption: 'Cause by cause',
    columns: columns(
      'Cause',
      numbers('Checks to it'),
      numbers('Come to'),
      numbers('Confirmed'),
      numbers('Reversed'),
    ),
    rows: causes.map(({ cause, checks, evidence }) =>
      row(
        cause.title,
        checks ?? '–',
        evidence?.reached ?? 0,
        evidence?.confirmed ?? 0,
        evidence?.reversed ?? 0,
      ),
    ),
  }
}

/** Those the record says something about. */
export function recordedChecks(checks: CheckRecord[]) {
  return checks
    .filter(({ evidence, reports }) => evidence !== null || reports.length > 0)
    .map(({ check, evidence, reports }) => ({
      slug: check.slug,
      title: check.title,
      rows: evidence && rowsTable(check, evidence),
      reasons: evidence?.reasons.slice(-newestReasons) ?? [],
      reports: reports.map(report => ({ ...report, mark: reportMark(report) })),
    }))
}

function rowsTable({ rows }: Check, evidence: CheckEvidence): Table {
  return {
    caption: 'Rows',
    captionHidden: true,
    columns: columns(
      'Row',
      numbers('Taken'),
      numbers('The cause lay behind it'),
      numbers('It lay elsewhere'),
    ),
    rows: rows.map(({ label }) => {
      const record = evidence.rows.find(one => one.label === label)
      return row(label, record?.taken ?? 0, record?.confirmed ?? 0, record?.reversed ?? 0)
    }),
  }
}

function reportMark({ answers, kind }: FieldReport): Mark {
  return { kind: answers.length > 0 ? 'done' : 'waiting', word: kind }
}
