import type { TreeCoverage } from '../../../knowledge/coverage.ts'
import { runExample, titleOf } from '../../../knowledge/examples.ts'
import type { Example, FaultTree, Knowledge } from '../../../knowledge/types.ts'
import { columns, numbers, row, type Table, type TableCell, type TableRow } from '../../partials.ts'

/** Each example run of a draft's tree with where it came to. */
export function runsTable(knowledge: Knowledge, tree: FaultTree, draftId: string): Table {
  return {
    caption: 'Runs',
    columns: columns(numbers('Line'), 'Way', 'Should end at', 'Does it?'),
    rows: tree.examples.map(example => runRow(knowledge, tree, example, draftId)),
    empty: 'No example run is written yet.',
  }
}

function runRow(knowledge: Knowledge, tree: FaultTree, example: Example, draftId: string): TableRow {
  const { path, wrong } = runExample(knowledge, tree, example)
  return row(
    lineCell(example.source.line, draftId),
    path.map(step => `${step.check.title}: ${step.row.label}`).join(' → '),
    titleOf(knowledge, example.expected),
    wrong ? { mark: { kind: 'out', word: 'no' }, note: wrong.words } : { mark: { kind: 'in', word: 'yes' } },
  )
}

/** Rows of the tree that no example takes. */
export function untriedTable(untried: TreeCoverage['untried'], draftId: string): Table {
  return {
    caption: `${untried.length} rows`,
    columns: columns('Check', 'Row', numbers('Line')),
    rows: untried.map(one => row(one.check, one.row, lineCell(one.source.line, draftId))),
  }
}

function lineCell(line: number, draftId: string): TableCell {
  return { text: line, href: `/drafts/${draftId}#line-${line}` }
}
