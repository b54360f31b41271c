import { nearestName } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import type { Document, Section, Table } from '../read/document.ts'
import type { Draft } from '../read/draft.ts'
import { columnsOf, hasRoleColumn, mayHaveRoleColumn, sectionsOf } from '../read/section-kinds.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A table whose header or a row of which has other columns than it must: `| Finding | Means |`. */
export function tableColumns(draft: Draft): Problem[] {
  return sectionsOf(draft).flatMap(({ kind, section }) => {
    const columns = columnsOf(kind, section)
    const [table] = section.tables
    return columns && table ? tableProblems(draft.doc, section, table, columns) : []
  })
}

function tableProblems(doc: Document, section: Section, table: Table, columns: string[]): Problem[] {
  const more = mayHaveRoleColumn(section) && !hasRoleColumn(section) ? ' A last column Role may follow.' : ''
  const expected = `The columns are | ${columns.join(' | ')} |.${more}`
  const same = table.header.join('|').toLowerCase() === columns.join('|').toLowerCase()
  if (!same) return [headerProblem(doc, section, table, columns, expected)]
  return table.rows
    .filter(row => row.cells.length !== columns.length)
    .map(row =>
      problemAt(doc, row.line, {
        code: 'table-columns',
        found: `This row has ${row.cells.length} cells, the table has ${columns.length} columns.`,
        expected,
        mend: 'Add or delete a cell; a | inside words is written \\|.',
      }),
    )
}

function headerProblem(doc: Document, section: Section, table: Table, columns: string[], expected: string) {
  const odd = table.header.find(cell => !columns.includes(cell))
  return problemAt(doc, table.line, {
    code: 'table-columns',
    found: `The table under ${quoted(section.title)} has ${table.header.length} columns: ${table.header.join(', ')}.`,
    expected,
    mend: 'Write the header with just these columns, in this order.',
    hint: odd === undefined ? null : nearestName(odd, columns),
  })
}
