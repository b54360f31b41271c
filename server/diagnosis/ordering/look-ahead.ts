// A good order where the best can't be found in time: some checks ahead of the author's order, of a greedy one,
// and of the one planned for the whole tree.

import type { AuthorOrder } from './author-order.ts'
import { byAuthor, byTelling, promising } from './choices.ts'
import { type Plan, type Policy, proven, type Standing } from './plan.ts'
import { firstPlanned, plannedRest } from './planned-order.ts'
import { farMinutes, following, minutesAfter, type Rest, type Sweep, sweepOf, weightIn } from './sweep.ts'

export interface Ahead {
  /** The check to do next, or -1. */
  first: number
  /** Expected minutes when `first` is done and then the better of the two orders is followed. */
  expected: number
  /** Expected minutes of the author's order alone. */
  author: number
}

/** Checks tried before the author's order. */
const mostTried = 8

/** Checks tried more than one ahead, the most hopeful ones. */
const mostDeep = 6

/** How far ahead they are tried, and the work this may take: for a page, and in the background. */
const mostAhead = 3
const usualWork = 2_000
const deepWork = 3_000_000

const authorRest = following(byAuthor)
const greedyRest = following(byTelling)

/**
 * Tries the most promising checks next, and the most hopeful of them as far ahead as the work allows,
 * followed by the author's order or by the greedy one. What it promises is met by doing as it says, and is
 * never worse than the author's order. For a plan that is `settled`.
 */
export function lookAhead(plan: Plan, standing: Standing, order: AuthorOrder, work = usualWork): Ahead {
  if (proven(plan, standing)) return { first: -1, expected: 0, author: 0 }
  return lookAheadIn(sweepOf(plan, standing, order), standing.at, work)
}

/** As `lookAhead`, on a sweep already made for the standing, whose hypotheses are not proven yet. */
export function lookAheadIn(sweep: Sweep, at: number, work = usualWork): Ahead {
  const size = sweep.alive.length
  const weight = weightIn(sweep, 0, size)
  const scale = weight > 0 ? weight : 1
  sweep.stuckMinutes = farMinutes
  let best = oneAhead(sweep, 0, size, at)
  sweep.work = work
  for (let ahead = 2; ahead <= mostAhead && sweep.work > 0; ahead++) {
    best = deeper(sweep, 0, size, best, ahead)
  }
  sweep.stuckMinutes = 0
  const author = authorRest(sweep, 0, size, at, -1)
  const total = best.total <= author ? best.total : Math.min(author, plainly(sweep, best.first))
  return { first: best.first, expected: total / scale, author: author / scale }
}

/**
 * Where every order gets stuck for some cause: the minutes by
 * the plain orders, as if what is not allowed were.
 */
function plainly(sweep: Sweep, check: number): number {
  const rest: Rest = (sweep, from, to, at) =>
    Math.min(authorRest(sweep, from, to, at, -1), greedyRest(sweep, from, to, at, -1))
  return minutesAfter(sweep, 0, sweep.alive.length, check, rest)
}

/** The look-ahead as a policy, taken anew at every check. */
export function lookAheadPolicy(plan: Plan, order: AuthorOrder): Policy {
  return standing => lookAhead(plan, standing, order).first
}

/** With many times the work: for the background. */
export function deepPolicy(plan: Plan, order: AuthorOrder): Policy {
  return standing => lookAhead(plan, standing, order, deepWork).first
}

/** Tries the most hopeful checks further ahead; once the work is used up, ahead of the plain orders. */
function deeper(sweep: Sweep, from: number, to: number, start: Best, ahead: number): Best {
  const best = { ...start }
  const rest: Rest = (sweep, left, right, at) => {
    if (sweep.work <= 0)
      return Math.min(authorRest(sweep, left, right, at, -1), greedyRest(sweep, left, right, at, -1))
    const one = oneAhead(sweep, left, right, at)
    return ahead > 2 ? deeper(sweep, left, right, one, ahead - 1).total : one.total
  }
  for (const check of new Set([start.first, ...start.hopeful.slice(0, mostDeep)])) {
    if (check >= 0 && sweep.work > 0) attempt(sweep, from, to, check, rest, best)
  }
  return best
}

interface Best {
  first: number
  /** Weighted minutes. */
  total: number
  /** The checks that were tried, best first. */
  hopeful: number[]
}

function oneAhead(sweep: Sweep, from: number, to: number, at: number): Best {
  const { openTo, planned } = sweep
  const best: Best = {
    first: byAuthor(sweep, from, to, at),
    total: authorRest(sweep, from, to, at, -1),
    hopeful: [],
  }
  const own = planned ? firstPlanned(sweep, from, to) : -1
  if (own >= 0) attempt(sweep, from, to, own, plannedRest, best)
  const tried = promising(sweep, from, to, mostTried)
    .map(check => ({
      check,
      total: attempt(sweep, from, to, check, planned ? plannedRest : authorRest, best),
    }))
    .sort((a, b) => a.total - b.total)
  if (!planned) {
    sweep.stuck = false
    const greedy = byTelling(sweep, from, to, at)
    if (greedy >= 0 && !sweep.stuck) attempt(sweep, from, to, greedy, greedyRest, best)
  }
  best.hopeful = tried.map(({ check }) => check)
  sweep.openTo = openTo
  return best
}

function attempt(sweep: Sweep, from: number, to: number, check: number, rest: Rest, best: Best): number {
  const total = minutesAfter(sweep, from, to, check, rest)
  // A rounding difference is no reason to leave the author's order.
  if (total < best.total - 1e-9) {
    best.first = check
    best.total = total
  }
  return total
}
