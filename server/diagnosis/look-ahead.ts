// A good order where the best can't be found in time: one check ahead of the author's order and of a greedy one.

import type { AuthorOrder } from './author-order.ts'
import { byAuthor, byTelling, promising } from './choices.ts'
import { type Plan, type Policy, proven, type Standing } from './plan.ts'
import { following, minutesAfter, type Rest, type Sweep, sweepOf, weightIn } from './sweep.ts'

export interface Ahead {
  /** The check to do next, or -1. */
  first: number
  /** Expected minutes when `first` is done and then the better of the two orders is kept to. */
  expected: number
  /** Expected minutes of the author's order alone. */
  author: number
}

/** Checks tried before the author's order. */
const mostTried = 16

/** As many of them are tried before the greedy order too as this many hypotheses × checks allow: that one is dear. */
const greedyWork = 20_000

/** Checks tried two ahead. */
const mostDeep = 6

const authorRest = following(byAuthor)
const greedyRest = following(byTelling)

/**
 * Tries the most promising checks next, followed by the author's order or by the greedy one. What it promises is
 * met by doing as it says, and is never worse than the author's order. For a plan that is `settled`.
 */
export function lookAhead(plan: Plan, standing: Standing, order: AuthorOrder): Ahead {
  if (proven(plan, standing)) return { first: -1, expected: 0, author: 0 }
  return lookAheadIn(sweepOf(plan, standing, order), standing.at)
}

/** As `lookAhead`, on a sweep already made for the standing, whose hypotheses are not proven yet. */
export function lookAheadIn(sweep: Sweep, at: number): Ahead {
  const size = sweep.alive.length
  const weight = weightIn(sweep, 0, size)
  const scale = weight > 0 ? weight : 1
  const best = oneAhead(sweep, 0, size, at)
  return { first: best.first, expected: best.total / scale, author: authorRest(sweep, 0, size, at) / scale }
}

/** The look-ahead as a policy, taken anew at every check. */
export function lookAheadPolicy(plan: Plan, order: AuthorOrder): Policy {
  return standing => lookAhead(plan, standing, order).first
}

/** Two checks ahead: many times dearer, for when nobody waits. */
export function deepPolicy(plan: Plan, order: AuthorOrder): Policy {
  return standing => {
    if (proven(plan, standing)) return -1
    const sweep = sweepOf(plan, standing, order)
    const size = sweep.alive.length
    const best = oneAhead(sweep, 0, size, standing.at)
    for (const check of new Set([best.first, ...promising(sweep, 0, size, mostDeep)])) {
      attempt(sweep, 0, size, check, (own, from, to, at) => oneAhead(own, from, to, at).total, best)
    }
    return best.first
  }
}

interface Best {
  first: number
  /** Weighted minutes. */
  total: number
}

function oneAhead(sweep: Sweep, from: number, to: number, at: number): Best {
  const best = { first: byAuthor(sweep, from, to, at), total: authorRest(sweep, from, to, at) }
  const tried = promising(sweep, from, to, mostTried)
    .map(check => ({ check, total: attempt(sweep, from, to, check, authorRest, best) }))
    .sort((a, b) => a.total - b.total)
  const greedy = byTelling(sweep, from, to, at)
  const again = tried
    .slice(0, Math.floor(greedyWork / ((to - from) * sweep.plan.minutes.length)))
    .map(({ check }) => check)
  for (const check of new Set([greedy, ...again])) {
    if (check >= 0) attempt(sweep, from, to, check, greedyRest, best)
  }
  return best
}

function attempt(sweep: Sweep, from: number, to: number, check: number, rest: Rest, best: Best): number {
  const total = minutesAfter(sweep, from, to, check, rest)
  // A hair better is no reason to leave the author's order.
  if (total < best.total - 1e-9) {
    best.first = check
    best.total = total
  }
  return total
}
