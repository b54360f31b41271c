// What each cause needs in every order: its proof, what parts it from another, and whatever alone leads there.

import type { Problem } from './least-problem.ts'

/**
 * For each hypothesis the open checks that are done in every order that keeps to the rules, if it is the one: without
 * such a check none of its proofs, or nothing that parts it from some other cause, could ever be come to.
 */
export function neededIn(problem: Problem): number[][] {
  return problem.weights.map((_, at) => {
    const whole = reached(problem, at, -1)
    const aims = aimsOf(problem, at, whole)
    return problem.open.filter(check => {
      if (!whole[check]) return false
      const without = reached(problem, at, check)
      return aims.some(aim => aim.every(other => !without[other]))
    })
  })
}

/** Sets of checks of which a hypothesis needs one each: its proofs, and for each other cause what parts the two. */
function aimsOf(problem: Problem, at: number, whole: Uint8Array): number[][] {
  const { groups, rows } = problem
  const aims = problem.freeGroup[at] ? [] : [problem.proofsOf[at] ?? []]
  for (let other = 0; other < groups.length; other++) {
    if (groups[other] === groups[at]) continue
    aims.push(problem.open.filter(check => rows[check]?.[other] !== rows[check]?.[at]))
  }
  return aims.map(aim => aim.filter(check => whole[check])).filter(aim => aim.length > 0)
}

/** Marks the checks that can be come to with what this hypothesis shows, leaving one out. What bars them is left aside. */
function reached(problem: Problem, at: number, without: number): Uint8Array {
  const met = problem.done.slice()
  const waiting = problem.open.filter(check => check !== without)
  for (let left = -1; left !== waiting.length; ) {
    left = waiting.length
    for (let place = waiting.length - 1; place >= 0; place--) {
      const check = waiting[place] ?? -1
      if (!isLedTo(problem, at, met, check)) continue
      met[check] = 1
      waiting.splice(place, 1)
    }
  }
  return met
}

function isLedTo({ plan, rows }: Problem, at: number, met: Uint8Array, check: number): boolean {
  const finds = (step: { check: number; row: number }) =>
    met[step.check] === 1 && rows[step.check]?.[at] === step.row
  if ((plan.prerequisites[check] ?? []).some(first => !met[first])) return false
  const gate = plan.gates[check]
  return !gate || gate.entries.some(entry => met[entry]) || gate.steps.some(finds)
}
