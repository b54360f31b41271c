import { createObjectCache } from '../../../cache.ts'
import { type TreeCost, treeCost } from '../../../diagnosis/judging/tree-cost.ts'
import type { FaultTree } from '../../../knowledge/types.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { shownCost } from './cost-shown.ts'
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
