import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { columnsOf, sectionsOf } from '../read/section-kinds.ts'
import { problemAt, quoted } from './problem-at.ts'

/**
 * A table where none belongs, such as a second one under a check, or an equipment section without its table.
 */
export function tableMisplaced(draft: Draft): Problem[] {
  return sectionsOf(draft).flatMap(({ kind, section }) => {
    const due = columnsOf(kind, section) ? 1 : 0
    const problems = section.tables.slice(due).map(table =>
      problemAt(draft.doc, table.line, {
        code: 'table-misplaced',
        found: `A table stands under ${quoted(section.title)} that has no meaning here.`,
        expected: due === 1 ? 'This section has one table.' : 'This section has no table.',
        mend: 'Delete the table, or join it to the other one.',
      }),
    )
    if (kind === 'table' && section.tables.length === 0) {
      problems.push(
        problemAt(draft.doc, section.line, {
          code: 'table-misplaced',
          found: `There is no table under ${quoted(section.title)}.`,
          expected: `Here stands a table with | ${columnsOf(kind, section)?.join(' | ')} |.`,
          mend: 'Write the table, with a line of dashes under its header, or delete the heading.',
        }),
      )
    }
    return problems
  })
}
