// The planned order of each tree, worked out when the tree is first asked for.

import { causeKey } from '../../knowledge/graph.ts'
import type { Knowledge } from '../../knowledge/types.ts'
import { noHistory } from '../ranking/cause-counts.ts'
import type { Likelihood } from '../ranking/likelihood.ts'
import { rank } from '../ranking/rank.ts'
import type { PlannedOrder } from './author-order.ts'
import { planOf } from './plan-of-tree.ts'
import { plannedOrder } from './planned-order.ts'

const cache = new WeakMap<Likelihood, PlannedOrder | null>()

/**
 * The order that is good for what is usual: a fault as it is reported, with the chances the author gives and no
 * history. A fault of its own chances follows it all the same, and leaves it where something else is sooner.
 */
export function usualOrder(knowledge: Knowledge, l: Likelihood): PlannedOrder | null {
  const cached = cache.get(l)
  if (cached !== undefined) return cached
  const { tree, checkAt } = l.scope
  const ranking = rank(knowledge, tree.slug, [], noHistory)
  const { plan, standing, order } = planOf(knowledge, l, {
    weights: new Map(ranking.causes.map(({ cause, probability }) => [causeKey(cause), probability])),
    outside: ranking.outside.probability,
    evidence: [],
    rejected: new Set(),
    intermittent: false,
    hold: false,
    putBack: new Set(),
    at: checkAt.get(`${tree.start.tree}#${tree.start.check}`) ?? -1,
  })
  const planned = plannedOrder(plan, standing, order)
  cache.set(l, planned)
  return planned
}
