// Weighted minutes that no order can beat for a set of causes: each must be proven, and every two be told apart.

import type { Problem } from './least-problem.ts'

/** No check has more rows than this. */
const mostRows = 64

/** Causes that may still be, and the checks that part or prove them. */
export interface Left {
  members: number[]
  useful: number[]
}

/** What every two of the causes left pay at least for being told apart, for each product of their weights. */
export interface Rates {
  /** Place of each hypothesis in the table, and the table, row by row. */
  place: Int16Array
  size: number
  table: Float64Array
}

/**
 * A check costs its minutes for all that is left, shared out by weight. What a cause pays for a check that it needs, or
 * that proves it, is its own; what another pays there is shared among the causes the check parts it from, by their
 * weights. That share only grows as less is left, so each two causes pay at least, together, what the cheapest check
 * that parts them asks now. An access is shared out in the same way over all that its checks can part. For checks of
 * one cause each this is the ratio rule's own total (Smith 1956). `opened` is a mask of the ways open already.
 */
export function ratesOf(problem: Problem, left: Left, opened: number): Rates {
  const { members } = left
  const size = members.length
  const place = new Int16Array(problem.weights.length).fill(-1)
  members.forEach((at, i) => {
    place[at] = i
  })
  const table = new Float64Array(size * size).fill(Number.POSITIVE_INFINITY)
  const openings = openingShares(problem, left, opened)
  const rows = new Int16Array(size)
  for (const check of left.useful) {
    for (let i = 0; i < size; i++) rows[i] = problem.rows[check]?.[members[i] ?? 0] ?? -1
    const share = checkShares(problem, members, check, rows)
    const opening = openings.get(problem.plan.access[check] ?? -1)
    if (opening) for (let i = 0; i < size; i++) share[i] = (share[i] ?? 0) + (opening[i] ?? 0)
    lower(table, share, rows, size)
  }
  return { place, size, table }
}

/** The floor for some or all of the causes that the rates were worked out for, from a state of that search. */
export function leastOf(
  problem: Problem,
  rates: Rates,
  members: number[],
  done: Uint8Array,
  opened: number,
): number {
  const { weights, groups } = problem
  let sum = 0
  for (let i = 0; i < members.length; i++) {
    const a = members[i] ?? 0
    const base = (rates.place[a] ?? 0) * rates.size
    let pays = ownMinutes(problem, a, done, opened)
    for (let j = i + 1; j < members.length; j++) {
      const b = members[j] ?? 0
      const rate = rates.table[base + (rates.place[b] ?? 0)] ?? 0
      if (groups[a] !== groups[b] && rate < Number.POSITIVE_INFINITY) pays += (weights[b] ?? 0) * rate
    }
    sum += (weights[a] ?? 0) * pays
  }
  return sum
}

/** Minutes of all that a cause needs and of its cheapest proof, with the ways that have to be opened for them. */
function ownMinutes(problem: Problem, at: number, done: Uint8Array, opened: number): number {
  const { plan } = problem
  let sum = 0
  for (const check of problem.needed[at] ?? []) if (!done[check]) sum += plan.minutes[check] ?? 0
  for (let ways = (problem.neededWays[at] ?? 0) & ~opened; ways !== 0; ways &= ways - 1) {
    sum += plan.accessMinutes[31 - Math.clz32(ways & -ways)] ?? 0
  }
  return sum + proofMinutes(problem, at, done)
}

/** Of the cheapest proof, where none of them is needed anyway. */
function proofMinutes({ plan, proofChoice }: Problem, at: number, done: Uint8Array): number {
  const proofs = proofChoice[at] ?? []
  let least = proofs.length > 0 ? Number.POSITIVE_INFINITY : 0
  for (const check of proofs) least = Math.min(least, done[check] ? 0 : (plan.minutes[check] ?? 0))
  return least
}

/** For each way still closed, what each cause pays of it for each unit of weight it may part the cause from. */
function openingShares(problem: Problem, left: Left, opened: number): Map<number, Float64Array> {
  const shares = new Map<number, Float64Array>()
  problem.plan.accessMinutes.forEach((minutes, way) => {
    if ((opened & (1 << way)) !== 0 || minutes === 0) return
    const checks = left.useful.filter(check => problem.plan.access[check] === way)
    const signs = numbered(
      left.members.map(at =>
        String.fromCharCode(...checks.map(check => (problem.rows[check]?.[at] ?? -1) + 1)),
      ),
    )
    const apart = weightApart(problem, left.members, signs)
    const share = (at: number, weight: number) =>
      weight <= 0 || ((problem.neededWays[at] ?? 0) & (1 << way)) !== 0 ? 0 : minutes / weight
    shares.set(
      way,
      Float64Array.from(left.members, (at, i) => share(at, apart[i] ?? 0)),
    )
  })
  return shares
}

function checkShares(problem: Problem, members: number[], check: number, rows: Int16Array): Float64Array {
  const apart = weightApart(problem, members, rows)
  const minutes = problem.plan.minutes[check] ?? 0
  return apart.map((weight, i) =>
    weight <= 0 || problem.isOwn[check]?.[members[i] ?? 0] ? 0 : minutes / weight,
  )
}

function numbered(signs: string[]): Int16Array {
  const numbers = new Map<string, number>()
  return Int16Array.from(signs, sign => {
    const number = numbers.get(sign) ?? numbers.size
    numbers.set(sign, number)
    return number
  })
}

/** The weight of those that have another sign, for each; signs are small numbers from -1. */
function weightApart(problem: Problem, members: number[], signs: Int16Array): Float64Array {
  const same = new Float64Array(members.length + mostRows)
  let all = 0
  for (let i = 0; i < members.length; i++) {
    const weight = problem.weights[members[i] ?? 0] ?? 0
    all += weight
    same[(signs[i] ?? 0) + 1] = (same[(signs[i] ?? 0) + 1] ?? 0) + weight
  }
  return Float64Array.from(signs, sign => Math.max(0, all - (same[sign + 1] ?? 0)))
}

function lower(table: Float64Array, share: Float64Array, rows: Int16Array, size: number): void {
  for (let i = 0; i < size; i++) {
    const own = share[i] ?? 0
    const row = rows[i] ?? 0
    for (let j = 0; j < size; j++) {
      if (rows[j] === row) continue
      const rate = own + (share[j] ?? 0)
      if (rate < (table[i * size + j] ?? 0)) table[i * size + j] = rate
    }
  }
}
