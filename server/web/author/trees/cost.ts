import { type TreeCost, treeCost } from '../../../diagnosis/judging/tree-cost.ts'
import type { FaultTree } from '../../../knowledge/types.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { percent } from '../../technician/check/likely.ts'
import { shownCost } from './cost-shown.ts'
import { treeInUse } from './knowledge.ts'

/** States the search for a better order may meet: some tenths of a second on the largest trees. */
const budget = 500

/** A figure that moves with the history, but slowly. */
const keptMinutes = 60

const kept = new WeakMap<FaultTree, { at: number; cost: TreeCost | null }>()

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
  const before = kept.get(tree)
  if (before && now.getTime() - before.at < keptMinutes * 60_000) return before.cost
  const everywhere = { id: null, siteId: '', positionId: '', units: [], conditions: {} }
  const { slug, equipment } = tree
  const reportedAt = now.toISOString()
  const counts = deps.storage.pastFaults.countsFor({ ...everywhere, tree: slug, equipment, reportedAt })
  const cost = treeCost(deps.library.current().knowledge, slug, counts, budget)
  kept.set(tree, { at: now.getTime(), cost })
  return cost
}
