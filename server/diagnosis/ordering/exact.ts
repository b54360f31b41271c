// The best order of all, by dynamic programming over (checks
// done, causes left), with branches cut by a lower bound.

import { atLeast, type Bounds, bitOf, boundsOf, opening, weightOf } from './lower-bound.ts'
import type { Plan, Policy, Standing } from './plan.ts'
import { compress, type Small } from './small.ts'

export interface Exact {
  /** Expected minutes of the best order; Infinity when no order that is allowed proves every cause. */
  expected: number
  policy: Policy
}

/**
 * The best order from a standing, or null when the tree is too large: more than 22 open checks, more than 30
 * different hypotheses, or more than `budget` states met. For a plan that is `settled`. Given the minutes of an
 * order already known, it looks for a sooner one only, which takes less: `none sooner` when there is none.
 */
export function exactOrder(plan: Plan, standing: Standing, budget: number): Exact | null
export function exactOrder(
  plan: Plan,
  standing: Standing,
  budget: number,
  soonerThan: number,
): Exact | 'none sooner' | null
export function exactOrder(
  plan: Plan,
  standing: Standing,
  budget: number,
  soonerThan = Number.POSITIVE_INFINITY,
): Exact | 'none sooner' | null {
  const small = compress(plan, standing)
  if (!small) return null
  const search = searchOf(small, budget)
  const limit = soonerThan * small.weight
  const minutes = minutesFrom(search, small.all, 0, limit)
  if (minutes === null) return null
  if (minutes >= limit && Number.isFinite(limit)) return 'none sooner'
  return { expected: small.weight > 0 ? minutes / small.weight : 0, policy: policyOf(search) }
}

interface Search {
  small: Small
  bounds: Bounds
  /** Weighted minutes and the check to do, by state. */
  values: Map<number, number>
  choices: Map<number, number>
  /** Lower bounds of states whose minutes are not known, where the search has found more than `atLeast`. */
  floors: Map<number, number>
  /** States that may still be met. */
  budget: number
}

function searchOf(small: Small, budget: number): Search {
  return { small, bounds: boundsOf(small), values: new Map(), choices: new Map(), floors: new Map(), budget }
}

function stateKey({ small }: Search, left: number, done: number): number {
  return done * 2 ** small.weights.length + left
}

/**
 * Weighted minutes from a state where they are less than `limit`, else a lower bound of at least `limit`; null
 * when the budget is spent.
 */
function minutesFrom(search: Search, left: number, done: number, limit: number): number | null {
  if (isProven(search.small, left, done)) return 0
  const key = stateKey(search, left, done)
  const cached = search.values.get(key)
  if (cached !== undefined) return cached
  const known = search.floors.get(key) ?? 0
  if (known >= limit && limit < Number.POSITIVE_INFINITY) return known
  if (search.budget-- <= 0) return null
  let best = limit
  let choice = -1
  let floor = Number.POSITIVE_INFINITY
  for (const { check, bound } of candidates(search.bounds, left, done, limit)) {
    const total = bound < best ? tried(search, check, left, done, bound, best) : bound
    if (total === null) return null
    if (total < best) [best, choice] = [total, check]
    else floor = Math.min(floor, total)
    if (bound >= best) break
  }
  return kept(search, key, choice, best, floor)
}

/** Without a choice every order takes `floor` at least; `Infinity` is exact: no order that is allowed leads on. */
function kept(search: Search, key: number, choice: number, best: number, floor: number): number {
  if (choice < 0 && floor < Number.POSITIVE_INFINITY) {
    search.floors.set(key, floor)
    return floor
  }
  const minutes = choice < 0 ? Number.POSITIVE_INFINITY : best
  search.values.set(key, minutes)
  search.choices.set(key, choice)
  return minutes
}

/** The value of doing one check where it is under `limit`, else a lower bound of at least `limit`. */
function tried(
  search: Search,
  check: number,
  left: number,
  done: number,
  bound: number,
  limit: number,
): number | null {
  const next = done | (1 << check)
  let total = bound
  for (const part of search.small.parts[check] ?? []) {
    const rest = part & left
    if (rest === 0) continue
    const least = atLeast(search.bounds, rest, next)
    const cost = minutesFrom(search, rest, next, limit - total + least)
    if (cost === null) return null
    total += cost - least
    if (total >= limit) return total
  }
  return total
}

/** What may be done next, most hopeful first. A bound is worked out only as far as it is under `limit`. */
function candidates(
  bounds: Bounds,
  left: number,
  done: number,
  limit: number,
): { check: number; bound: number }[] {
  const { small } = bounds
  const wanted = wantedChecks(small, left) & ~done
  const weight = weightOf(small.weights, left)
  const list: { check: number; bound: number }[] = []
  for (let rest = wanted; rest !== 0; rest &= rest - 1) {
    const check = bitOf(rest)
    if (!isAllowed(small, check, left, done)) continue
    let bound = weight * ((small.minutes[check] ?? 0) + opening(small, check, done))
    for (const part of small.parts[check] ?? []) {
      if (bound >= limit) break
      if (part & left) bound += atLeast(bounds, part & left, done | (1 << check))
    }
    list.push({ check, bound })
  }
  return list.sort((a, b) => a.bound - b.bound || a.check - b.check)
}

function isAllowed(small: Small, check: number, left: number, done: number): boolean {
  const first = small.prerequisites[check] ?? 0
  if ((first & done) !== first || ((small.barredBy[check] ?? 0) & done) !== 0) return false
  const gate = small.gates[check]
  if (!gate || (gate.entries & done) !== 0) return true
  return gate.steps.some(step => (done & (1 << step.check)) !== 0 && (step.set & left) !== 0)
}

/** Checks that separate or prove hypotheses left, with all they need first. */
function wantedChecks(small: Small, left: number): number {
  let wanted = 0
  for (let check = 0; check < small.checks.length; check++) {
    if (separates(small.parts[check] ?? [], left)) wanted |= small.needs[check] ?? 0
  }
  for (let rest = left; rest !== 0; rest &= rest - 1) wanted |= small.provenWith[bitOf(rest)] ?? 0
  return wanted
}

function separates(parts: number[], left: number): boolean {
  for (const part of parts) if ((part & left) === left) return false
  return true
}

function isProven(small: Small, left: number, done: number): boolean {
  let group = -1
  let shown = true
  for (let bit = 0; bit < small.weights.length; bit++) {
    if (!(left & (1 << bit)) || small.groups[bit] === -1) continue
    if (group !== -1 && small.groups[bit] !== group) return false
    const proofs = small.proofs[bit] ?? 0
    const here = proofs === 0 || (proofs & done) !== 0
    shown = group === -1 ? here : shown || here
    group = small.groups[bit] ?? -1
  }
  return shown
}

function policyOf(search: Search): Policy {
  const { small } = search
  return standing => {
    let left = 0
    for (const index of standing.alive) {
      const bit = small.bitOf.get(index)
      if (bit !== undefined) left |= 1 << bit
    }
    const done = small.checks.reduce((sum, check, bit) => sum | (standing.done[check] ? 1 << bit : 0), 0)
    // A state off the best way may not have been met yet.
    minutesFrom(search, left, done, Number.POSITIVE_INFINITY)
    const bit = search.choices.get(stateKey(search, left, done)) ?? -1
    return bit < 0 ? -1 : (small.checks[bit] ?? -1)
  }
}
