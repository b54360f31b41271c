import type { Coverage, LimitCoverage } from '../../../knowledge/coverage.ts'
import { columns, type Mark, numbers, row, type Table } from '../../partials.ts'

export function treesTable({ trees }: Coverage): Table {
  return {
    caption: 'Trees',
    columns: columns(
      'Tree',
      numbers('Checks'),
      numbers('Causes'),
      numbers('Longest path'),
      numbers('Expected minutes'),
      numbers('Rows no example takes'),
    ),
    rows: trees.map(tree =>
      row(
        { text: tree.title, href: `/knowledge/${tree.tree}` },
        tree.checks,
        tree.causes,
        tree.longestPath,
        tree.expectedMinutes?.toFixed(0) ?? '–',
        tree.untried.length,
      ),
    ),
  }
}

/** Limits without a value of their owner's. */
export function limitsTable({ limits }: Coverage, kitName: (slug: string) => string): Table {
  return {
    caption: `${limits.length} limits`,
    columns: columns('Limit', 'Equipment', 'State'),
    rows: limits.map(one =>
      row(
        one.limit,
        { text: kitName(one.equipment), note: `${one.source.path}:${one.source.line}` },
        { mark: limitMarks[one.state] },
      ),
    ),
    empty: 'All limits have a value of their owner’s.',
  }
}

const limitMarks: Record<LimitCoverage['state'], Mark> = {
  blank: { kind: 'no-verdict', word: 'left blank' },
  demo: { kind: 'close', word: 'demo value' },
}

/** Checks whose rows all lead to one place, with the title of their tree. */
export function idleChecks({ trees }: Coverage) {
  return trees.flatMap(tree => tree.separatesNothing.map(({ check }) => ({ check, tree: tree.title })))
}
