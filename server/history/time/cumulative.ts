// Mean cumulative function: how many faults a position of this group has had, on average, by each age, with
// no model behind it. Nelson 1995, Technometrics 37:147–157; Lawless & Nadeau 1995, Technometrics 37:158–168.

import { normalQuantile } from '../../statistics/normal.ts'

export interface History {
  /** Ages at each fault, in any order. */
  events: readonly number[]
  /** Age at which watching ended; still at risk at that age. */
  end: number
}

export interface CumulativePoint {
  at: number
  mean: number
  variance: number
  low: number
  high: number
  atRisk: number
}

/**
 * One point per fault, in order of age. `robust` variance lets faults of one position depend on each other;
 * `step` adds up the variance of each step alone. Limits are two-sided and keep above zero. O(n log n).
 */
export function meanCumulative(
  group: readonly History[],
  confidence = 0.95,
  kind: 'robust' | 'step' = 'robust',
): CumulativePoint[] {
  const z = normalQuantile((1 + confidence) / 2)
  const run = startRun(group)
  return eventsInOrder(group).map(({ at, who }) => {
    retireBefore(run, at)
    addFault(run, who)
    const { mean, atRisk } = run
    const variance = run[kind]
    const factor = Math.exp((z * Math.sqrt(variance)) / mean)
    return { at, mean, variance, low: mean / factor, high: mean * factor, atRisk }
  })
}

/**
 * Running sums over positions still at risk, so that each
 * fault costs the same however many positions there are.
 */
interface Run {
  mean: number
  step: number
  robust: number
  atRisk: number
  /** What every position at risk has lost so far to the common mean. */
  common: number
  /** Sum and sum of squares of each position's lead on the mean, over those at risk. */
  sum: number
  squares: number
  retiredSquares: number
  own: Float64Array
  /** The next to leave last. */
  leaving: { who: number; end: number }[]
}

function startRun(group: readonly History[]): Run {
  const leaving = group.map((h, who) => ({ who, end: h.end })).sort((a, b) => b.end - a.end)
  const sums = { mean: 0, step: 0, robust: 0, common: 0, sum: 0, squares: 0, retiredSquares: 0 }
  return { ...sums, atRisk: group.length, own: new Float64Array(group.length), leaving }
}

function retireBefore(run: Run, at: number): void {
  for (let last = run.leaving.at(-1); last !== undefined && last.end < at; last = run.leaving.at(-1)) {
    const lead = leadOf(run, last.who)
    run.sum -= lead
    run.squares -= lead * lead
    run.retiredSquares += lead * lead
    run.atRisk--
    run.leaving.pop()
  }
}

function addFault(run: Run, who: number): void {
  const share = 1 / run.atRisk
  const loss = share * share
  run.mean += share
  run.step += loss * (1 - share)
  run.squares += run.atRisk * loss * loss - 2 * loss * run.sum
  run.sum -= run.atRisk * loss
  run.common += loss
  const lead = leadOf(run, who)
  run.squares += 2 * lead * share + share * share
  run.sum += share
  run.own[who] = (run.own[who] ?? 0) + share
  run.robust = Math.max(0, run.squares + run.retiredSquares)
}

function leadOf(run: Run, who: number): number {
  return (run.own[who] ?? 0) - run.common
}

/** Events after the end of the watching cannot have been seen and are left out. */
function eventsInOrder(group: readonly History[]): { at: number; who: number }[] {
  const events = group.flatMap((h, who) => h.events.filter(at => at <= h.end).map(at => ({ at, who })))
  return events.sort((a, b) => a.at - b.at)
}
