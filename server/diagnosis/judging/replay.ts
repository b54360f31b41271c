// Past faults walked again on paper: minutes by the author's
// order, by the suggestions, and by the best order.

import type { Knowledge } from '../../knowledge/types.ts'
import { exactOrder } from '../ordering/exact.ts'
import { deepPolicy, lookAhead } from '../ordering/look-ahead.ts'
import { type OrderSearch, searchOrder, usualBudget } from '../ordering/next-check.ts'
import { savedOutOfOrder } from '../ordering/out-of-order.ts'
import { after, costOf, type Policy, proven, settled } from '../ordering/plan.ts'
import { countsFor, type PastFault } from '../ranking/cause-counts.ts'
import { likelihoodOf } from '../ranking/likelihood.ts'
import { rank } from '../ranking/rank.ts'
import { worthSuggesting } from '../ranking/strengths.ts'

export interface OrderMinutes {
  /** Faults summed. */
  n: number
  author: number
  /** Taking every suggestion as it is made, the author's order otherwise. */
  suggested: number
  /**
   * By the best order that a deep search finds on the average of
   * all causes: on the faults that came, another may do better.
   */
  best: number
  /**
   * Faults for which all orders were weighed to find it; for the
   * rest it is the best that a deep search found.
   */
  bestExact: number
}

/** States the search for the best order may meet at each check. */
const bestBudget = 5_000

/**
 * The minutes of each fault whose cause is in its tree. The
 * suggestions know all the other faults, not this one.
 */
export function replayMinutes(
  knowledge: Knowledge,
  past: readonly PastFault[],
  judged: readonly PastFault[],
): { id: string; minutes: OrderMinutes }[] {
  return judged.flatMap(fault => {
    const cause = likelihoodOf(knowledge, fault.tree)?.scope.causeAt.get(fault.cause ?? '')
    if (cause === undefined) return []
    const ranking = rank(knowledge, fault.tree, [], countsFor(past, fault))
    const search = searchOrder(knowledge, fault.tree, [], ranking, { budget: 0 })
    if (!search) return []
    const best = bestKnown(search)
    const minutes = {
      n: 1,
      author: minutesFor(search, search.author.policy, cause),
      suggested: minutesFor(search, suggesting(search), cause),
      best: minutesFor(search, best.policy, cause),
      bestExact: best.exact ? 1 : 0,
    }
    return [{ id: fault.id, minutes }]
  })
}

/** Minutes until this cause is proven; averaged over the ways it may show itself. */
function minutesFor(search: OrderSearch, policy: Policy, cause: number): number {
  const ways = search.standing.alive.filter(index => search.plan.hypotheses[index]?.ownCause === cause)
  return ways.reduce((sum, way) => sum + minutesOfWay(search, policy, way), 0) / Math.max(1, ways.length)
}

function minutesOfWay({ plan, standing, onward }: OrderSearch, policy: Policy, way: number): number {
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
export function suggesting({ l, plan, order, author }: OrderSearch): Policy {
  return standing => {
    const ready = settled(plan, standing)
    const authorsCheck = author.policy(standing)
    const ahead = lookAhead(ready, standing, order)
    const sure = Math.min(ahead.author, ahead.expected) - 1e-9
    const exact = exactOrder(ready, standing, usualBudget, sure)
    const sooner = exact === 'none sooner' || !Number.isFinite(exact?.expected) ? null : exact
    const saves = ahead.author - (sooner ?? ahead).expected
    const first = sooner ? sooner.policy(standing) : ahead.first
    if (first < 0 || savedOutOfOrder(l, ready, standing, first, saves) < worthSuggesting) return authorsCheck
    return first
  }
}

/** The best order that can be found with time to spare. */
function bestKnown({ plan, standing, order, author }: OrderSearch): { policy: Policy; exact: boolean } {
  const deep = deepPolicy(plan, order)
  const whole = exactOrder(plan, standing, bestBudget)
  if (whole) return { policy: whole.expected < author.minutes ? whole.policy : author.policy, exact: true }
  const policy: Policy = here => {
    const ready = settled(plan, here)
    const exact = exactOrder(ready, here, bestBudget)
    return exact && Number.isFinite(exact.expected) ? exact.policy(here) : deep(here)
  }
  return { policy, exact: false }
}
