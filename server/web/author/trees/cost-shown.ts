import type { TreeCost } from '../../../diagnosis/judging/tree-cost.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { percent } from '../../technician/check/likely.ts'

/** What a tree costs, as figures and tables. `causeTitle`: of a cause of a kind of equipment. */
export function shownCost(cost: TreeCost, causeTitle: (slug: string, equipment: string) => string) {
  const best = cost.how === 'exact' ? 'Best order' : 'Best order found'
  return {
    exact: cost.how === 'exact',
    idle: cost.idle,
    summary: {
      rows: [
        { key: 'As written', value: `${cost.minutes.author.toFixed(1)} min` },
        {
          key: cost.how === 'exact' ? 'Best order there is' : best,
          value: `${cost.minutes.best.toFixed(1)} min`,
        },
      ],
    },
    orders: ordersTable(cost, best),
    causes: causesTable(cost, causeTitle),
  }
}

/** The author's order beside the best. */
function ordersTable({ order: { author, best } }: TreeCost, bestHead: string): Table {
  return {
    caption: 'The checks in turn, while each is found healthy',
    columns: columns(numbers('No.'), 'As written', bestHead),
    rows: Array.from({ length: Math.max(author.length, best.length) }, (_, at) =>
      row(at + 1, author[at]?.title ?? '–', best[at]?.title ?? '–'),
    ),
  }
}

function causesTable({ ends }: TreeCost, causeTitle: (slug: string, equipment: string) => string): Table {
  return {
    caption: 'Cause by cause, by the order as written',
    columns: columns('Cause', numbers('Share'), numbers('Checks'), numbers('Minutes'), numbers('Found')),
    rows: ends.map(({ target, share, steps, minutes, found }) =>
      row(
        target.kind === 'cause' ? causeTitle(target.cause, target.equipment) : '',
        percent(share),
        steps.toFixed(0),
        minutes.toFixed(0),
        found,
      ),
    ),
  }
}
