import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A check without a table, or with a table without rows: a walk can't go on from there. */
export function stepNoWayOn(draft: Draft): Problem[] {
  if (draft.kind !== 'tree') return []
  return draft.checks
    .filter(section => !section.tables[0]?.rows.length)
    .map(section =>
      problemAt(draft.doc, section.line, {
        code: 'check-no-way-on',
        found: `${quoted(section.title)} has no rows, so no finding leads on from it.`,
        expected: 'Every check ends with a table | Finding | Means | Next |, with a row for each finding.',
        mend: 'Add the table, with a line of dashes under its header and an empty line before it.',
      }),
    )
}
