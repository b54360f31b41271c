import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { sectionsOf } from '../read/section-kinds.ts'
import { problemAt, quoted } from './problem-at.ts'

/** Rows of a check, and of an equipment's table. */
export const MOST_ROWS = 40
const MOST_TABLE_ROWS = 1_000

/** A check with more than 40 rows: too many to choose from. */
export function tableTooLong(draft: Draft): Problem[] {
  return sectionsOf(draft).flatMap(({ kind, section }) => {
    const most = kind === 'check' ? MOST_ROWS : MOST_TABLE_ROWS
    const rows = section.tables[0]?.rows ?? []
    const first = rows[most]
    if (!first) return []
    return problemAt(draft.doc, first.line, {
      code: 'table-too-long',
      found: `The table under ${quoted(section.title)} has ${rows.length} rows.`,
      expected: `A table here has at most ${most} rows.`,
      mend: 'Split the check in two, the first row group leading to the second check.',
    })
  })
}
