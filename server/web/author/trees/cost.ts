import { createObjectCache } from '../../../cache.ts'
import { type TreeCost, treeCost } from '../../../diagnosis/judging/tree-cost.ts'
import type { FaultTree } from '../../../knowledge/types.ts'
import { chancePercent } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { treeInUse } from './knowledge.ts'

/** States the search for a better order may meet: some tenths of a second on the largest trees. */
const budget = 500

/** It moves with the history, but slowly. */
const maxAgeMs = 60 * 60_000

const costs = createObjectCache<FaultTree, TreeCost | null>(maxAgeMs)

/** What a tree in use costs on the real mix of causes, the best order found, and the checks that part nothing. */
export const show = (deps: Deps) => (req: Request) => {
  const tree = treeInUse(deps, req)
  const cost = costOf(deps, tree)
  return page('author/trees/cost', {
    title: `What ${tree.title} costs`,
    desk: true,
    back: { href: `/knowledge/${tree.slug}`, text: 'The tree' },
    cost:
      cost &&
      shownCost(
        cost,
        (slug, equipment) =>
          deps.library.current().knowledge.equipment.get(equipment)?.causes.get(slug)?.title ?? slug,
      ),
  })
}

function costOf(deps: Deps, tree: FaultTree): TreeCost | null {
  const now = deps.clock()
  return costs(tree, () => workOutCost(deps, tree, now.toISOString()), now.getTime())
}

function workOutCost(deps: Deps, tree: FaultTree, reportedAt: string): TreeCost | null {
  const everywhere = { id: null, siteId: '', positionId: '', units: [], conditions: {} }
  const { slug, equipment } = tree
  const counts = deps.storage.pastFaults.countsFor({ ...everywhere, tree: slug, equipment, reportedAt })
  return treeCost(deps.library.current().knowledge, slug, counts, budget)
}

/** What a tree costs, as figures and tables. `causeTitle`: of a cause of a kind of equipment. */
function shownCost(cost: TreeCost, causeTitle: (slug: string, equipment: string) => string) {
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
        chancePercent(share),
        steps.toFixed(0),
        minutes.toFixed(0),
        found,
      ),
    ),
  }
}
