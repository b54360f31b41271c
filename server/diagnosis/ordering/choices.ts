// Two ways of choosing the next check that are quick to follow: the author's, and the most telling a minute.

import { sourcesOf } from './author-order.ts'
import { type Choice, costHere, rowAt, type Sweep } from './sweep.ts'

/** The author's order, by the same rule as `authorPolicy`. */
export const byAuthor: Choice = (sweep, from, to, at) => {
  const here = follow(sweep, from, at)
  if (here >= 0) return here
  const again = follow(sweep, from, sweep.order.start)
  return again >= 0 ? again : firstUseful(sweep, from, to)
}

/**
 * Always on the way to the check that tells most for each minute it takes, with what it needs first. Leaves
 * in `open` only what tells something; the caller must restore `openTo`.
 */
export const byTelling: Choice = (sweep, from, to, at) => {
  let best = 0
  let aim = -1
  let first = -1
  eachTelling(sweep, from, to, (check, tells) => {
    const way = wayTo(sweep, from, check)
    const score = way ? tells / way.minutes : 0
    if (!way || score < best || score === 0 || (score === best && check > aim)) return
    best = score
    aim = check
    first = way.first
  })
  return first >= 0 ? first : byAuthor(sweep, from, to, at)
}

/**
 * What is worth trying first: up to `most` checks, the most
 * telling a minute first. Narrows `open` as `byTelling`.
 */
export function promising(sweep: Sweep, from: number, to: number, most: number): number[] {
  const list: { first: number; score: number }[] = []
  eachTelling(sweep, from, to, (check, tells) => {
    const way = wayTo(sweep, from, check)
    if (way) list.push({ first: way.first, score: tells / way.minutes })
  })
  list.sort((a, b) => b.score - a.score || a.first - b.first)
  return [...new Set(list.map(item => item.first))].slice(0, most)
}

function eachTelling(sweep: Sweep, from: number, to: number, take: (check: number, tells: number) => void) {
  const { open, done, plan } = sweep
  for (let place = 0; place < sweep.openTo; ) {
    const check = open[place] ?? 0
    const tells = done[check] || plan.closed[check] ? 0 : telling(sweep, from, to, check)
    if (tells > 0) {
      take(check, tells)
      place += 1
    } else {
      sweep.openTo -= 1
      open[place] = open[sweep.openTo] ?? 0
      open[sweep.openTo] = check
    }
  }
}

function follow(sweep: Sweep, from: number, start: number): number {
  const { done, plan, order } = sweep
  let at = start
  for (let steps = 0; at >= 0 && steps <= plan.minutes.length; steps++) {
    if (!done[at]) return firstOnWay(sweep, from, [at])
    const rowFound = order.rowsFound[at] ?? -1
    at = order.onward[at]?.[rowFound >= 0 ? rowFound : rowAt(sweep, at, from)] ?? -1
  }
  return -1
}

/** The rule of `firstUseful` in author-order.ts, on flat arrays. */
function firstUseful(sweep: Sweep, from: number, to: number): number {
  const open: number[] = []
  for (let check = 0; check < sweep.plan.minutes.length; check++) {
    if (sweep.done[check] || sweep.plan.closed[check] || telling(sweep, from, to, check) <= 0) continue
    if (isAllowed(sweep, from, check)) return check
    open.push(check)
  }
  const way = firstOnWay(sweep, from, open)
  sweep.stuck = way < 0 && open.length > 0
  return way >= 0 ? way : (open[0] ?? -1)
}

/** The rule of `firstOnWay` in author-order.ts, on flat arrays. */
export function firstOnWay(sweep: Sweep, from: number, checks: number[]): number {
  const now = checks[0] ?? -1
  if (checks.length === 1 && isAllowed(sweep, from, now)) return now
  const wanted = new Set(checks)
  for (const check of wanted) {
    if (isAllowed(sweep, from, check)) return check
    if (isBarred(sweep, check)) continue
    for (const source of sourcesOf(sweep.plan, check)) if (!sweep.done[source]) wanted.add(source)
  }
  return -1
}

/**
 * Weight parted from other weight (W − Σm²/W over the rows' weights m), and weight proven. Over the minutes
 * it is, for checks that each find one cause alone, the ratio rule.
 */
function telling(sweep: Sweep, from: number, to: number, check: number): number {
  const { tally, proves, size, alive, weights } = sweep
  const base = check * size
  sweep.work -= to - from + 8
  let all = 0
  let proven = 0
  let parted = false
  const first = rowAt(sweep, check, from)
  tally.fill(0)
  for (let at = from; at < to; at++) {
    const index = alive[at] ?? 0
    const row = sweep.rows[base + index] ?? 0
    const weight = (weights[index] ?? 0) + 1e-12
    all += weight
    tally[row] = (tally[row] ?? 0) + weight
    if (row !== first) parted = true
    if (proves[base + index]) proven += weight
  }
  if (!parted) return proven
  let squares = 0
  for (const weight of tally) squares += weight * weight
  return all - squares / all + proven
}

/** The first check to do on the way to one, and the minutes of the whole way; null when the way is barred. */
function wayTo(sweep: Sweep, from: number, check: number): { first: number; minutes: number } | null {
  const least = 0.1
  let first = -1
  let minutes = 0
  for (const step of sweep.ways[check] ?? []) {
    if (sweep.done[step]) continue
    if (isBarred(sweep, step)) return null
    minutes += costHere(sweep, step)
    if (first < 0 && isAllowed(sweep, from, step)) first = step
  }
  return first < 0 ? null : { first, minutes: Math.max(least, minutes) }
}

function isAllowed(sweep: Sweep, from: number, check: number): boolean {
  if (sweep.done[check] || isBarred(sweep, check) || !isLedTo(sweep, from, check)) return false
  for (const first of sweep.plan.prerequisites[check] ?? []) if (!sweep.done[first]) return false
  return true
}

function isLedTo(sweep: Sweep, from: number, check: number): boolean {
  const gate = sweep.plan.gates[check]
  if (!gate) return true
  for (const entry of gate.entries) if (sweep.done[entry]) return true
  for (const step of gate.steps)
    if (sweep.done[step.check] && rowAt(sweep, step.check, from) === step.row) return true
  return false
}

function isBarred(sweep: Sweep, check: number): boolean {
  if (sweep.plan.closed[check]) return true
  for (const bar of sweep.plan.barredBy[check] ?? []) if (sweep.done[bar]) return true
  return false
}
