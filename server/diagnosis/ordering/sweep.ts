// Following an order through every branch at once, on flat arrays: what the look-ahead does many times over.

import type { AuthorOrder, PlannedOrder } from './author-order.ts'
import type { Plan, Standing } from './plan.ts'

export interface Sweep {
  plan: Plan
  order: AuthorOrder
  /** An order worked out beforehand for the whole tree, or null. */
  planned: PlannedOrder | null
  size: number
  weights: Float64Array
  causes: Int32Array
  /** rows[check × size + hypothesis] and whether the check proves the hypothesis. */
  rows: Int16Array
  proves: Uint8Array
  /** For each check all that it needs first, in order, and itself. */
  ways: number[][]
  /** The state, changed and changed back while branches are followed. */
  done: Uint8Array
  opened: Int32Array
  alive: Int32Array
  spare: Int32Array
  /** Weight by row, for one check at a time. */
  tally: Float64Array
  /**
   * The checks that may still tell something, in the first
   * `openTo` places: what tells nothing here never will again.
   */
  open: Int32Array
  openTo: number
  /** Looks at a hypothesis that a deep search may still take. */
  work: number
  /**
   * Set by a choice that takes a check which is not allowed, as
   * nothing else leads on; and minutes reckoned for that.
   */
  stuck: boolean
  stuckMinutes: number
}

/** Reckoned where nothing allowed leads on: more than any order that is allowed can take. */
export const farMinutes = 1e6

/** Which check next, for the hypotheses alive[from..to) where the author's order stands at `at`; or -1. */
export type Choice = (sweep: Sweep, from: number, to: number, at: number) => number

export function sweepOf(plan: Plan, standing: Standing, order: AuthorOrder): Sweep {
  const size = plan.hypotheses.length
  const checks = plan.minutes.length
  const rows = new Int16Array(checks * size)
  const proves = new Uint8Array(checks * size)
  let most = 0
  plan.hypotheses.forEach((hypothesis, index) => {
    for (let check = 0; check < checks; check++) {
      const row = hypothesis.rows[check] ?? 0
      rows[check * size + index] = row
      if (row > most) most = row
    }
    for (const check of hypothesis.proofs) proves[check * size + index] = 1
  })
  return {
    plan,
    order,
    planned: order.planned,
    size,
    weights: Float64Array.from(plan.hypotheses, hypothesis => hypothesis.weight),
    causes: Int32Array.from(plan.hypotheses, hypothesis => hypothesis.cause),
    rows,
    proves,
    ways: waysIn(plan),
    done: standing.done.slice(),
    opened: Int32Array.from(standing.opened),
    alive: Int32Array.from(standing.alive),
    spare: new Int32Array(standing.alive.length),
    tally: new Float64Array(most + 1),
    open: Int32Array.from(plan.minutes, (_, check) => check),
    openTo: checks,
    work: 0,
    stuck: false,
    stuckMinutes: 0,
  }
}

function waysIn(plan: Plan): number[][] {
  const ways: number[][] = []
  const wayTo = (check: number): number[] => {
    const cached = ways[check]
    if (cached) return cached
    ways[check] = [check] // Should checks need each other, none comes first.
    ways[check] = [...new Set([...(plan.prerequisites[check] ?? []).flatMap(wayTo), check])]
    return ways[check]
  }
  return plan.minutes.map((_, check) => wayTo(check))
}

/** Weighted minutes from a branch onwards; `row` is the row that led to it, or -1. */
export type Rest = (sweep: Sweep, from: number, to: number, at: number, row: number) => number

/** Weighted minutes of doing `check` now, and of each branch then as `rest` reckons it. */
export function minutesAfter(sweep: Sweep, from: number, to: number, check: number, rest: Rest): number {
  const { plan, done, opened, order } = sweep
  const access = plan.access[check] ?? -1
  let total = weightIn(sweep, from, to) * costHere(sweep, check)
  done[check] = 1
  if (access >= 0) opened[access] = (opened[access] ?? 0) + 1
  for (let at = from; at < to; ) {
    const row = rowAt(sweep, check, at)
    const end = gather(sweep, check, row, at, to)
    if (!provenIn(sweep, at, end)) total += rest(sweep, at, end, order.onward[check]?.[row] ?? -1, row)
    at = end
  }
  done[check] = 0
  if (access >= 0) opened[access] = (opened[access] ?? 0) - 1
  return total
}

/** Weighted minutes of a choice followed to the end, or for as long as something helps. */
export function following(choice: Choice): Rest {
  const rest: Rest = (sweep, from, to, at) => {
    const { openTo } = sweep
    sweep.stuck = false
    const check = choice(sweep, from, to, at)
    const extra = sweep.stuck ? weightIn(sweep, from, to) * sweep.stuckMinutes : 0
    const minutes = check < 0 ? 0 : minutesAfter(sweep, from, to, check, rest)
    sweep.openTo = openTo
    return minutes + extra
  }
  return rest
}

export function costHere(sweep: Sweep, check: number): number {
  const access = sweep.plan.access[check] ?? -1
  const opening = access >= 0 && !sweep.opened[access] ? (sweep.plan.accessMinutes[access] ?? 0) : 0
  return (sweep.plan.minutes[check] ?? 0) + opening
}

export function weightIn(sweep: Sweep, from: number, to: number): number {
  let sum = 0
  for (let at = from; at < to; at++) sum += sweep.weights[sweep.alive[at] ?? 0] ?? 0
  return sum
}

export function rowAt(sweep: Sweep, check: number, at: number): number {
  return sweep.rows[check * sweep.size + (sweep.alive[at] ?? 0)] ?? 0
}

/** Brings those with this row to the front, keeping their order otherwise; returns where they end. */
function gather(sweep: Sweep, check: number, row: number, from: number, to: number): number {
  const { alive, spare } = sweep
  let front = from
  let back = 0
  for (let at = from; at < to; at++) {
    const index = alive[at] ?? 0
    if (rowAt(sweep, check, at) === row) alive[front++] = index
    else spare[back++] = index
  }
  for (let at = 0; at < back; at++) alive[front + at] = spare[at] ?? 0
  return front
}

/** The rule of `proven`, on flat arrays. */
function provenIn(sweep: Sweep, from: number, to: number): boolean {
  let cause = -1
  let shown = true
  for (let at = from; at < to; at++) {
    const index = sweep.alive[at] ?? 0
    const ownCause = sweep.causes[index] ?? -1
    if (ownCause < 0) continue
    if (cause >= 0 && ownCause !== cause) return false
    const here = isShown(sweep, index)
    shown = cause < 0 ? here : shown || here
    cause = ownCause
  }
  return shown
}

function isShown(sweep: Sweep, index: number): boolean {
  const proofs = sweep.plan.hypotheses[index]?.proofs ?? []
  if (proofs.length === 0) return true
  for (const check of proofs) if (sweep.done[check]) return true
  return false
}
