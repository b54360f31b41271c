// The author's order as a policy: the tree's own way from wherever the diagnosis stands.

import { allowed, type Plan, type Policy, type Standing, useful } from './plan.ts'

export interface AuthorOrder {
  /** The tree's first check. */
  start: number
  /** onward[check][row]: index of the check the row leads to, or -1. */
  onward: Int32Array[]
  /** The row found at each check that was done before the plan began, or -1. */
  found: Int32Array
}

/**
 * Goes on from where the walk stands; from a cause or an end that is not yet the whole answer, from the tree's start
 * by what has been found; failing that, takes the first check in the tree's order that still tells something.
 */
export function authorPolicy(plan: Plan, order: AuthorOrder): Policy {
  return standing => {
    const here = follow(plan, order, standing, standing.at)
    if (here >= 0) return here
    const again = follow(plan, order, standing, order.start)
    return again >= 0 ? again : firstUseful(plan, standing)
  }
}

/** The first check not done on the way from `from`, or -1 when the way ends or is closed. */
function follow(plan: Plan, order: AuthorOrder, standing: Standing, from: number): number {
  let at = from
  for (let steps = 0; at >= 0 && steps <= plan.minutes.length; steps++) {
    if (!standing.done[at]) return plan.closed[at] ? -1 : at
    at = order.onward[at]?.[foundRow(plan, order, standing, at)] ?? -1
  }
  return -1
}

/** Everything alive agrees on the checks that were done, so any of them tells what was found. */
function foundRow(plan: Plan, order: AuthorOrder, standing: Standing, check: number): number {
  const before = order.found[check] ?? -1
  return before >= 0 ? before : (plan.hypotheses[standing.alive[0] ?? -1]?.rows[check] ?? -1)
}

/** Where nothing useful is allowed any more, one that is not: the walk must still get to its end. */
function firstUseful(plan: Plan, standing: Standing): number {
  const open = plan.minutes
    .map((_, check) => check)
    .filter(check => !standing.done[check] && !plan.closed[check] && useful(plan, standing, check))
  return open.find(check => allowed(plan, standing, check)) ?? open[0] ?? -1
}
