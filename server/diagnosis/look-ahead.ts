// A good order where the best can't be found in time: one check ahead of the author's order and of a greedy one.

import {
  after,
  allowed,
  costOf,
  openChecks,
  type Plan,
  type Policy,
  parted,
  proven,
  type Standing,
  useful,
} from './plan.ts'
import type { Onward } from './run.ts'

export interface Ahead {
  /** The check to do next, or -1. */
  first: number
  /** Expected minutes, met or beaten by doing `first` and then as the orders behind it do. */
  expected: number
  /** Expected minutes of the author's order alone. */
  author: number
}

/** Checks tried ahead at most. */
const mostTried = 16

/** Above this many hypotheses × checks the greedy order is not worth its time. */
const greedyLimit = 6_000

/**
 * Tries the most promising checks next, each followed by the author's order or the greedy one, whichever is sooner in
 * each branch. What it promises is therefore never worse than the author's order. For a plan that is `settled`.
 */
export function lookAhead(plan: Plan, standing: Standing, author: Policy, onward: Onward): Ahead {
  const weight = weightOf(plan, standing.alive)
  const byAuthor = minutesOf(plan, standing, author, onward)
  const rest = (from: Standing) => sooner(plan, from, author, onward)
  let first = proven(plan, standing) ? -1 : author(standing)
  let expected = byAuthor
  for (const check of promising(plan, standing)) {
    const total = ahead(plan, standing, check, onward, rest)
    // A hair better is no reason to leave the author's order.
    if (total < expected - 1e-9) [first, expected] = [check, total]
  }
  const scale = weight > 0 ? weight : 1
  return { first, expected: expected / scale, author: byAuthor / scale }
}

/** The look-ahead as a policy, taken anew at every check. */
export function lookAheadPolicy(plan: Plan, author: Policy, onward: Onward): Policy {
  return standing => lookAhead(plan, standing, author, onward).first
}

/** Always the target that tells most a minute, with what must be done before it. */
export function greedyPolicy(plan: Plan): Policy {
  return standing => targets(plan, standing)[0]?.first ?? -1
}

function ahead(
  plan: Plan,
  standing: Standing,
  check: number,
  onward: Onward,
  rest: (from: Standing) => number,
): number {
  let total = weightOf(plan, standing.alive) * costOf(plan, standing, check)
  for (const row of parted(plan, standing.alive, check).keys()) {
    total += rest(after(plan, standing, check, row, onward(check, row)))
  }
  return total
}

function sooner(plan: Plan, from: Standing, author: Policy, onward: Onward): number {
  const byAuthor = minutesOf(plan, from, author, onward)
  if (byAuthor === 0 || from.alive.length * plan.minutes.length > greedyLimit) return byAuthor
  return Math.min(byAuthor, minutesOf(plan, from, greedyPolicy(plan), onward))
}

/** Weighted minutes; Infinity when the policy stops before the cause is proven. */
function minutesOf(plan: Plan, standing: Standing, policy: Policy, onward: Onward): number {
  let total = 0
  const waiting = [standing]
  for (let here = waiting.pop(); here; here = waiting.pop()) {
    if (proven(plan, here)) continue
    const check = policy(here)
    if (check < 0) return Number.POSITIVE_INFINITY
    total += weightOf(plan, here.alive) * costOf(plan, here, check)
    for (const row of parted(plan, here.alive, check).keys()) {
      waiting.push(after(plan, here, check, row, onward(check, row)))
    }
  }
  return total
}

/** The first steps towards the targets that tell most a minute, and towards those most likely to prove something. */
function promising(plan: Plan, standing: Standing): number[] {
  const all = targets(plan, standing)
  const byProof = [...all].sort((a, b) => b.proof - a.proof || a.target - b.target)
  const picked = [...all.slice(0, mostTried), ...byProof.slice(0, mostTried / 2)]
  return [...new Set(picked.map(({ first }) => first))]
}

interface Target {
  target: number
  /** The check to do now on the way to it. */
  first: number
  /** Bits a minute. */
  score: number
  /** Chance a minute of proving a cause. */
  proof: number
}

function targets(plan: Plan, standing: Standing): Target[] {
  const list: Target[] = []
  for (const target of openChecks(plan, standing.done)) {
    if (!useful(plan, standing, target)) continue
    const chain = chainTo(plan, standing, target)
    const first = chain.find(check => allowed(plan, standing.done, check))
    if (first === undefined) continue
    const minutes = Math.max(0.1, minutesOfChain(plan, standing, chain))
    const { bits, proof } = tellingOf(plan, standing, target)
    list.push({ target, first, score: (bits + proof) / minutes, proof: proof / minutes })
  }
  return list.sort((a, b) => b.score - a.score || a.target - b.target)
}

/** What must be done for a check: what it needs first, in order, then itself. */
function chainTo(plan: Plan, standing: Standing, check: number, seen = new Set<number>()): number[] {
  if (standing.done[check] || seen.has(check)) return []
  seen.add(check)
  return [...(plan.before[check] ?? []).flatMap(first => chainTo(plan, standing, first, seen)), check]
}

function minutesOfChain(plan: Plan, standing: Standing, chain: number[]): number {
  const opened = new Set<number>()
  let sum = 0
  for (const check of chain) {
    const access = plan.access[check] ?? -1
    sum += opened.has(access) ? (plan.minutes[check] ?? 0) : costOf(plan, standing, check)
    opened.add(access)
  }
  return sum
}

/** Information in the rows, in bits, and the chance that the check proves what is wrong. */
function tellingOf(plan: Plan, standing: Standing, check: number): { bits: number; proof: number } {
  const rows = new Map<number, number>()
  let all = 0
  let proof = 0
  for (const index of standing.alive) {
    const hypothesis = plan.hypotheses[index]
    if (!hypothesis) continue
    const row = hypothesis.rows[check] ?? -1
    rows.set(row, (rows.get(row) ?? 0) + hypothesis.weight)
    all += hypothesis.weight
    if (hypothesis.proofs.includes(check)) proof += hypothesis.weight
  }
  if (!(all > 0)) return { bits: 0, proof: 0 }
  return { bits: entropy([...rows.values()].map(weight => weight / all)), proof: proof / all }
}

/** Shannon's entropy in bits. */
export function entropy(chances: readonly number[]): number {
  return chances.reduce((sum, chance) => (chance > 0 ? sum - chance * Math.log2(chance) : sum), 0)
}

function weightOf(plan: Plan, alive: number[]): number {
  let sum = 0
  for (const index of alive) sum += plan.hypotheses[index]?.weight ?? 0
  return sum
}
