// How good could any order be? A search that proves a floor under the expected minutes, for trees of any size.

import type { Plan, Standing } from '../../../server/diagnosis/ordering/plan.ts'
import { type Group, groupsOf } from './least-groups.ts'
import { leastOf, type Rates, ratesOf } from './least-pairs.ts'
import { type Problem, problemOf } from './least-problem.ts'

export interface Floor {
  /** Expected minutes that no order can beat. */
  minutes: number
  /** Whether some order takes just these. */
  reached: boolean
}

/**
 * A floor under the expected minutes to the proven cause, given that the cause is in the tree: of all orders that keep
 * to the plan's constraints; Infinity when none of them proves every cause. `work` bounds the search, in entries of
 * tables; what is known of a state when it is spent is a floor all the same. The floor is sought in turn for each of
 * `enough`, least first, and the search ends with the last.
 */
export function floorOf(
  plan: Plan,
  standing: Standing,
  work: number,
  enough: readonly number[] = [Number.POSITIVE_INFINITY],
): Floor {
  const problem = problemOf(plan, standing)
  if (!problem.weights.some(weight => weight > 0)) return { minutes: 0, reached: true }
  const search: Search = { problem, groupOf: groupsOf(problem), known: new Map(), work }
  const all = search.groupOf(problem.weights.map((_, at) => at))
  let value: Value = { least: 0, exact: false }
  // All that was found out on the way to one floor still holds for the next.
  for (const minutes of enough) {
    value = worthOf(search, all, problem.done.slice(), problem.opened, minutes * all.weight)
    if (value.exact || search.work <= 0) break
  }
  return { minutes: value.least / all.weight, reached: value.exact }
}

interface Search {
  problem: Problem
  groupOf: (members: number[]) => Group
  known: Map<string, Value>
  /** Entries of tables that may still be worked out. */
  work: number
}

/** Weighted minutes from a state: what no order can beat, and whether an order reaches it. */
interface Value {
  least: number
  exact: boolean
}

/** Exact, or a floor that is at least `limit`, or whatever floor is known when the states are used up. */
function worthOf(search: Search, left: Group, done: Uint8Array, opened: number, limit: number): Value {
  if (isProven(search.problem, left, done)) return { least: 0, exact: true }
  const key = keyOf(left, done, opened)
  const before = search.known.get(key)
  if (before && (before.exact || before.least >= limit)) return before
  const rates = ratesWith(search, left)
  const start = before?.least ?? leastOf(search.problem, rates(opened), left.members, done, opened)
  if (!before) search.known.set(key, { least: start, exact: false })
  if (start >= limit || search.work <= 0) return { least: start, exact: false }
  let best = Number.POSITIVE_INFINITY
  let floor = Number.POSITIVE_INFINITY
  for (const step of stepsFrom(search, left, done, opened, rates)) {
    const bar = Math.min(limit, best)
    const value = step.floor >= bar ? { least: step.floor, exact: false } : tried(search, step, done, bar)
    if (value.exact) best = Math.min(best, value.least)
    else floor = Math.min(floor, value.least)
  }
  const exact = best <= floor
  const value = { least: exact ? best : Math.max(start, Math.min(best, floor)), exact }
  search.known.set(key, value)
  return value
}

interface Step {
  check: number
  opened: number
  parts: Group[]
  /** The floor known for each part, and of the whole step with its own minutes. */
  floors: number[]
  floor: number
}

function tried(search: Search, step: Step, done: Uint8Array, bar: number): Value {
  let total = step.floor
  let exact = true
  done[step.check] = 1
  for (const [at, part] of step.parts.entries()) {
    const known = step.floors[at] ?? 0
    const value = worthOf(search, part, done, step.opened, known + bar - total)
    total += Math.max(0, value.least - known)
    exact &&= value.exact
    if (total >= bar) break
  }
  done[step.check] = 0
  return { least: total, exact: exact && total < bar }
}

/** What may be done next, most hopeful first. */
function stepsFrom(
  search: Search,
  left: Group,
  done: Uint8Array,
  opened: number,
  rates: (opened: number) => Rates,
): Step[] {
  const { problem } = search
  const may = left.wanted.filter(check => !done[check] && isAllowed(problem, left, done, check))
  return may.map(check => stepOf(search, left, done, opened, check, rates)).sort((a, b) => a.floor - b.floor)
}

/** The rates of the group once each way is open, each worked out when it is first asked for. */
function ratesWith(search: Search, left: Group): (opened: number) => Rates {
  const known = new Map<number, Rates>()
  return opened => {
    const before = known.get(opened)
    if (before) return before
    search.work -= left.useful.length * left.members.length ** 2
    const rates = ratesOf(search.problem, left, opened)
    known.set(opened, rates)
    return rates
  }
}

function stepOf(
  search: Search,
  left: Group,
  done: Uint8Array,
  opened: number,
  check: number,
  rates: (opened: number) => Rates,
): Step {
  const { plan } = search.problem
  const way = plan.access[check] ?? -1
  const after = way >= 0 ? opened | (1 << way) : opened
  const minutes = (plan.minutes[check] ?? 0) + (after === opened ? 0 : (plan.accessMinutes[way] ?? 0))
  const parts = left.partsOf(check)
  search.work -= left.useful.length * left.members.length
  done[check] = 1
  const floors = parts.map(part => {
    if (isProven(search.problem, part, done)) return 0
    const known = search.known.get(keyOf(part, done, after))
    if (known) return known.least
    search.work -= part.members.length ** 2
    return leastOf(search.problem, rates(after), part.members, done, after)
  })
  done[check] = 0
  const floor = floors.reduce((sum, value) => sum + value, left.weight * minutes)
  return { check, opened: after, parts, floors, floor }
}

function isProven(problem: Problem, left: Group, done: Uint8Array): boolean {
  if (!left.single) return false
  return left.members.some(
    at => problem.free[at] === 1 || problem.open.some(check => done[check] && problem.proves[check]?.[at]),
  )
}

function isAllowed({ plan }: Problem, left: Group, done: Uint8Array, check: number): boolean {
  if ((plan.prerequisites[check] ?? []).some(first => !done[first])) return false
  if ((plan.barredBy[check] ?? []).some(bar => done[bar])) return false
  const gate = plan.gates[check]
  if (!gate || gate.entries.some(entry => done[entry])) return true
  return gate.steps.some(step => done[step.check] && left.shows(step.check) === step.row)
}

/** All that the rest of the search depends on: what is left, and of what is done only what still matters for it. */
function keyOf(left: Group, done: Uint8Array, opened: number): string {
  let key = `${left.id}:${opened & left.ways}:`
  let bits = 0
  let count = 0
  for (const check of left.matters) {
    bits |= (done[check] ?? 0) << count++
    if (count < 15) continue
    key += String.fromCharCode(bits)
    bits = 0
    count = 0
  }
  return key + String.fromCharCode(bits)
}
