// What a check is worth when it is made before those that the tree has before it.

import type { Likelihood } from '../ranking/likelihood.ts'
import { costOf, type Plan, type Standing } from './plan.ts'

/**
 * Minutes that a check saves when it is made out of order, where `saves` is what it would save if it could be read as
 * its rows say. That it can while the cause is one it leads towards; else what it shows may come from a cause that
 * checks before it were to rule out, and its minutes are lost.
 */
export function savedOutOfOrder(
  l: Likelihood,
  plan: Plan,
  standing: Standing,
  check: number,
  saves: number,
): number {
  const unsettled = unsettledBefore(l, plan, standing, check)
  return (1 - unsettled) * saves - unsettled * costOf(plan, standing, check)
}

/** Of what may be wrong, the share that other checks are to rule out before this one. */
function unsettledBefore(l: Likelihood, plan: Plan, standing: Standing, check: number): number {
  let all = 0
  let before = 0
  for (const index of standing.alive) {
    const { cause, ownCause = cause, weight } = plan.hypotheses[index] ?? { cause: -1, weight: 0 }
    if (cause < 0) continue
    all += weight
    if (l.onWay[check]?.[ownCause] !== 1) before += weight
  }
  return all > 0 ? before / all : 0
}
