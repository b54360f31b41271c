// The author's order as a policy: the tree's own way from wherever the diagnosis stands.

import { allowed, type Plan, type Policy, type Standing, useful } from './plan.ts'

/** A decision tree, worked out beforehand (planned-order.ts); node 0 is its first. */
export interface PlannedOrder {
  /** The check of each node. */
  checks: number[]
  /** next[node][row]: the node the row leads to, or -1 or nothing where the order has no more to say. */
  next: number[][]
}

export interface AuthorOrder {
  /** The tree's first check. */
  start: number
  /** onward[check][row]: index of the check the row leads to, or -1. */
  onward: Int32Array[]
  /** The row found at each check that was done before the plan began, or -1. */
  rowsFound: Int32Array
  /** The order worked out for the whole tree beforehand, or null: a better one to fall back on. */
  planned: PlannedOrder | null
}

/**
 * Goes on from where the walk stands; from a cause or an end that is not yet
 * the whole answer, from the tree's start by what has been found; failing
 * that, takes the first check in the tree's order that still tells something.
 */
export function authorPolicy(plan: Plan, order: AuthorOrder): Policy {
  return standing => {
    const here = follow(plan, order, standing, standing.at)
    if (here >= 0) return here
    const again = follow(plan, order, standing, order.start)
    return again >= 0 ? again : firstUseful(plan, standing)
  }
}

/**
 * The first check not done on the way from `from`, or what it
 * needs first; -1 when the way ends, is closed or barred.
 */
function follow(plan: Plan, order: AuthorOrder, standing: Standing, from: number): number {
  let at = from
  for (let steps = 0; at >= 0 && steps <= plan.minutes.length; steps++) {
    if (!standing.done[at]) return firstOnWay(plan, standing, [at])
    at = order.onward[at]?.[foundRow(plan, order, standing, at)] ?? -1
  }
  return -1
}

/** Everything alive agrees on the checks that were done, so any of them tells what was found. */
function foundRow(plan: Plan, order: AuthorOrder, standing: Standing, check: number): number {
  const rowFound = order.rowsFound[check] ?? -1
  return rowFound >= 0 ? rowFound : (plan.hypotheses[standing.alive[0] ?? -1]?.rows[check] ?? -1)
}

/**
 * On the way to the first that tells something; where nothing
 * leads to any, that one: the walk must get to its end.
 */
function firstUseful(plan: Plan, standing: Standing): number {
  const open = plan.minutes
    .map((_, check) => check)
    .filter(check => !standing.done[check] && !plan.closed[check] && useful(plan, standing, check))
  const way = firstOnWay(plan, standing, open)
  return way >= 0 ? way : (open[0] ?? -1)
}

/**
 * The first of some checks that is allowed now, else the first
 * that one of them needs; -1 when there is no way to any.
 */
function firstOnWay(plan: Plan, standing: Standing, checks: number[]): number {
  const wanted = new Set(checks)
  for (const check of wanted) {
    if (allowed(plan, standing, check)) return check
    if (isBarred(plan, standing, check)) continue
    for (const source of sourcesOf(plan, check)) if (!standing.done[source]) wanted.add(source)
  }
  return -1
}

/** The prerequisites of a check, and the ways in when it has a gate. */
export function sourcesOf(plan: Plan, check: number): number[] {
  const gate = plan.gates[check]
  return [
    ...(plan.prerequisites[check] ?? []),
    ...(gate?.entries ?? []),
    ...(gate?.steps ?? []).map(step => step.check),
  ]
}

/**
 * Why the check that the walk stands at may not be done yet, after checks
 * were taken out of their order: it `needs` another first, or it is `barred`
 * by something that was disturbed; null where it may be done, or is closed.
 */
export function notYet(plan: Plan, standing: Standing): 'needs' | 'barred' | null {
  const { at, done } = standing
  if (at < 0 || done[at] || plan.closed[at] || allowed(plan, standing, at)) return null
  return isBarred(plan, standing, at) ? 'barred' : 'needs'
}

function isBarred(plan: Plan, { done }: Standing, check: number): boolean {
  return plan.closed[check] || (plan.barredBy[check] ?? []).some(bar => done[bar] === 1)
}
