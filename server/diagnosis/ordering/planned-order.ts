// An order of checks worked out beforehand for a whole tree, branch by branch. It is worked out once, on what is
// usual; a page then follows it with the chances of its own fault, which is quick.
//
// Policy iteration (Howard 1960): an order is followed to its end in every branch, and in each branch any check
// that would do better first takes its place; so each pass is at least as good as the last.

import type { AuthorOrder, PlannedOrder } from './author-order.ts'
import { byAuthor, byTelling, firstOnWay, promising } from './choices.ts'
import { type Plan, proven, type Standing } from './plan.ts'
import { farMinutes, following, minutesAfter, type Rest, rowAt, type Sweep, sweepOf } from './sweep.ts'

/** Checks tried in each branch, and passes at most. */
const mostTried = 8
const mostPasses = 3

const authorRest = following(byAuthor)
const greedyRest = following(byTelling)
const plainRest: Rest = (sweep, from, to, at, row) =>
  Math.min(greedyRest(sweep, from, to, at, row), authorRest(sweep, from, to, at, row))

/** For a plan that is `settled`; null where nothing is to be found. */
export function plannedOrder(plan: Plan, standing: Standing, order: AuthorOrder): PlannedOrder | null {
  if (proven(plan, standing)) return null
  const sweep = sweepOf(plan, standing, { ...order, planned: null })
  let least = Number.POSITIVE_INFINITY
  let best: PlannedOrder | null = null
  for (let pass = 0; pass < mostPasses; pass++) {
    const grown: PlannedOrder = { checks: [], next: [] }
    const total = grow(sweep, 0, sweep.alive.length, standing.at, grown)
    if (total > least - 1e-9) break
    least = total
    best = grown
    sweep.planned = grown
  }
  return best
}

/** Adds the branch for the hypotheses alive[from..to) to an order; gives its weighted minutes. */
function grow(sweep: Sweep, from: number, to: number, at: number, into: PlannedOrder): number {
  const { openTo } = sweep
  const first = soonest(sweep, from, to, at)
  sweep.openTo = openTo
  if (first < 0) return 0
  const next: number[] = []
  into.checks.push(first)
  into.next.push(next)
  return minutesAfter(sweep, from, to, first, (sweep, left, right, onward, row) => {
    const node = into.checks.length
    const minutes = grow(sweep, left, right, onward, into)
    if (into.checks.length > node) next[row] = node
    return minutes
  })
}

/** The check to do first here, by following the order of the pass before; or the author's or a greedy one. */
function soonest(sweep: Sweep, from: number, to: number, at: number): number {
  const rest = sweep.planned ? plannedRest : plainRest
  sweep.stuckMinutes = farMinutes
  const author = byAuthor(sweep, from, to, at)
  const planned = firstPlanned(sweep, from, to)
  let first = planned >= 0 ? planned : author
  let least = rest(sweep, from, to, at, -1)
  for (const check of new Set([author, ...promising(sweep, from, to, mostTried)])) {
    const minutes = check < 0 ? least : minutesAfter(sweep, from, to, check, rest)
    if (minutes < least - 1e-9) [first, least] = [check, minutes]
  }
  sweep.stuckMinutes = 0
  return first
}

/** Weighted minutes of following the planned order from its first check, past all that is done or tells nothing. */
export const plannedRest: Rest = (sweep, from, to, at) => followPlanned(sweep, from, to, at, 0)

function followPlanned(sweep: Sweep, from: number, to: number, at: number, start: number): number {
  const node = nodeFrom(sweep, from, to, start)
  const check = sweep.planned?.checks[node] ?? -1
  const first = check < 0 ? -1 : firstOnWay(sweep, from, [check])
  if (first < 0) return authorRest(sweep, from, to, at, -1)
  const next = first === check ? sweep.planned?.next[node] : undefined
  return minutesAfter(sweep, from, to, first, (sweep, left, right, onward, row) =>
    followPlanned(sweep, left, right, onward, next ? (next[row] ?? -1) : node),
  )
}

/** The check the planned order comes to here, or what it needs first; or -1. */
export function firstPlanned(sweep: Sweep, from: number, to: number): number {
  const check = sweep.planned?.checks[nodeFrom(sweep, from, to, 0)] ?? -1
  return check < 0 ? -1 : firstOnWay(sweep, from, [check])
}

/** The first node from `start` whose check can still tell something, or -1. */
function nodeFrom(sweep: Sweep, from: number, to: number, start: number): number {
  const { planned, done, order, plan } = sweep
  let node = start
  while (planned && node >= 0) {
    const check = planned.checks[node] ?? -1
    if (!done[check] && !plan.closed[check] && tells(sweep, from, to, check)) return node
    const found = order.rowsFound[check] ?? -1
    node = planned.next[node]?.[found >= 0 ? found : rowAt(sweep, check, from)] ?? -1
  }
  return -1
}

function tells(sweep: Sweep, from: number, to: number, check: number): boolean {
  const first = rowAt(sweep, check, from)
  for (let at = from; at < to; at++) {
    if (rowAt(sweep, check, at) !== first) return true
    if (sweep.proves[check * sweep.size + (sweep.alive[at] ?? 0)]) return true
  }
  return false
}
