import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A row whose last cell has no link: `| below | Weak. | the drive input |`. */
export function rowNoWayOn(draft: Draft): Problem[] {
  if (draft.kind !== 'tree') return []
  return draft.checks.flatMap(section =>
    (section.tables[0]?.rows ?? [])
      .filter(row => row.cells.length === 3 && row.next.length !== 1)
      .map(row =>
        problemAt(draft.doc, row.line, {
          code: 'row-no-way-on',
          found: `The row ${quoted(row.cells[0] ?? '')} does not lead to one place.`,
          expected: 'The last cell is one link: to a check, to a cause of the equipment, or to an end.',
          mend: 'Write it as [Drive input](#drive-input), with the heading’s words in lower case and hyphens.',
        }),
      ),
  )
}
