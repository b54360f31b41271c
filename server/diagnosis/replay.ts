// Past faults walked again on paper: minutes by the author's order, by the suggestions, and by the best order.

import { causeKey } from '../knowledge/graph.ts'
import type { Knowledge } from '../knowledge/types.ts'
import { countsFor, noHistory, type PastFault } from './cause-counts.ts'
import { exactOrder } from './exact.ts'
import { likelihoodOf } from './likelihood.ts'
import { lookAhead } from './look-ahead.ts'
import { type Outlook, outlookOf, usualBudget } from './next-check.ts'
import { after, costOf, type Policy, proven, settled } from './plan.ts'
import { type Ranking, rank } from './rank.ts'
import { worthSuggesting } from './strengths.ts'

export interface OrderMinutes {
  /** Faults summed. */
  n: number
  author: number
  /** Taking every suggestion as it is made, the author's order otherwise. */
  suggested: number
  /** By the best single order for the mix of causes that really came, known beforehand. */
  best: number
  /** Whether all orders were weighed to find it; otherwise it is the best that was found. */
  bestIsExact: boolean
}

/** States the search for the best order of a tree may meet. */
const bestBudget = 60_000

/** The minutes of each fault whose cause is in its tree. The suggestions know all the other faults, not this one. */
export function replayMinutes(
  knowledge: Knowledge,
  past: readonly PastFault[],
  judged: readonly PastFault[],
): { id: string; minutes: OrderMinutes }[] {
  const bests = new Map<string, { outlook: Outlook; policy: Policy } | null>()
  return judged.flatMap(fault => {
    const cause = likelihoodOf(knowledge, fault.tree)?.scope.causeAt.get(fault.cause ?? '')
    if (cause === undefined) return []
    const ranking = rank(knowledge, fault.tree, [], countsFor(past, fault))
    const outlook = outlookOf(knowledge, fault.tree, [], ranking, { budget: 0 })
    const best = bests.get(fault.tree) ?? bestFor(knowledge, fault.tree, judged)
    bests.set(fault.tree, best)
    if (!outlook || !best) return []
    const minutes = {
      n: 1,
      author: minutesFor(outlook, outlook.author.policy, cause),
      suggested: minutesFor(outlook, suggesting(outlook), cause),
      best: minutesFor(best.outlook, best.policy, cause),
      bestIsExact: best.outlook.best.how === 'exact',
    }
    return [{ id: fault.id, minutes }]
  })
}

/** Minutes until this cause is proven; averaged over the ways it may show itself. */
function minutesFor(outlook: Outlook, policy: Policy, cause: number): number {
  const ways = outlook.standing.alive.filter(index => outlook.plan.hypotheses[index]?.own === cause)
  return ways.reduce((sum, way) => sum + minutesOfWay(outlook, policy, way), 0) / Math.max(1, ways.length)
}

function minutesOfWay({ plan, standing, onward }: Outlook, policy: Policy, way: number): number {
  let here = standing
  let minutes = 0
  while (!proven(plan, here)) {
    const check = policy(here)
    const row = plan.hypotheses[way]?.rows[check]
    if (check < 0 || here.done[check] || row === undefined) break
    minutes += costOf(plan, here, check)
    here = after(plan, here, check, row, onward(check, row))
  }
  return minutes
}

/** What a technician does who takes every suggestion: asked anew at every check, as on the page. */
function suggesting({ plan, order, author }: Outlook): Policy {
  return standing => {
    const ready = settled(plan, standing)
    const own = author.policy(standing)
    const ahead = lookAhead(ready, standing, order)
    const exact = exactOrder(ready, standing, usualBudget)
    const expected = exact ? exact.expected : ahead.expected
    if (ahead.author - expected < worthSuggesting) return own
    const first = exact ? exact.policy(standing) : ahead.first
    return first >= 0 ? first : own
  }
}

/** The outlook of a tree when the mix of causes is known to be that of the faults that came. */
function bestFor(
  knowledge: Knowledge,
  tree: string,
  judged: readonly PastFault[],
): { outlook: Outlook; policy: Policy } | null {
  const counts = new Map<string, number>()
  for (const fault of judged) {
    if (fault.tree === tree && fault.cause !== null)
      counts.set(fault.cause, (counts.get(fault.cause) ?? 0) + 1)
  }
  const shares = rank(knowledge, tree, [], noHistory)
  const causes = shares.causes.map(item => ({ ...item, probability: counts.get(causeKey(item.cause)) ?? 0 }))
  const mix: Ranking = { ...shares, causes, outside: { ...shares.outside, probability: 0 } }
  const outlook = outlookOf(knowledge, tree, [], mix, { budget: bestBudget })
  return outlook && { outlook, policy: outlook.best.policy }
}
