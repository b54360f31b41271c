// Following a policy to its end, for every hypothesis at once.

import { after, costOf, type Plan, type Policy, parted, proven, type Standing } from './plan.ts'

export interface Run {
  /** Minutes to the proven cause for each hypothesis that was alive; 0 for the others. */
  minutes: Float64Array
  /** Checks done on the way, for each hypothesis, in order. */
  checks: number[][]
  /** Average minutes, by weight. */
  expected: number
}

/** Where a row leads in the author's order: the index of a check, or -1. */
export type Onward = (check: number, row: number) => number

/**
 * Runs a policy from a standing. Where the policy has nothing more to offer the run stops as it is.
 * For a plan that is `settled`.
 */
export function run(plan: Plan, standing: Standing, policy: Policy, onward: Onward): Run {
  const minutes = new Float64Array(plan.hypotheses.length)
  const checks: number[][] = plan.hypotheses.map(() => [])
  const waiting = [standing]
  for (let here = waiting.pop(); here; here = waiting.pop()) {
    if (proven(plan, here)) continue
    const check = policy(here)
    if (check < 0 || here.done[check]) continue
    const cost = costOf(plan, here, check)
    for (const index of here.alive) {
      minutes[index] = (minutes[index] ?? 0) + cost
      checks[index]?.push(check)
    }
    for (const row of parted(plan, here.alive, check).keys()) {
      waiting.push(after(plan, here, check, row, onward(check, row)))
    }
  }
  return { minutes, checks, expected: average(plan, standing.alive, minutes) }
}

/** Average over the hypotheses alive, by their weights; plain when all weights are 0. */
function average(plan: Plan, alive: number[], values: Float64Array): number {
  let sum = 0
  let weights = 0
  for (const index of alive) {
    const weight = plan.hypotheses[index]?.weight ?? 0
    sum += weight * (values[index] ?? 0)
    weights += weight
  }
  if (weights > 0) return sum / weights
  return alive.length === 0 ? 0 : alive.reduce((all, index) => all + (values[index] ?? 0), 0) / alive.length
}
