// Plans for tests, and the dumbest possible way to find their best order.

import fc from 'fast-check'
import type { Hypothesis, Plan, Standing } from '../../../server/diagnosis/ordering/plan.ts'

export function plan(part: Partial<Plan> & Pick<Plan, 'minutes' | 'hypotheses'>): Plan {
  const none = part.minutes.map((): number[] => [])
  return {
    access: part.minutes.map(() => -1),
    accessMinutes: [],
    prerequisites: none,
    barredBy: none,
    closed: part.minutes.map(() => false),
    gates: part.minutes.map(() => null),
    ...part,
  }
}

export function atStart(of: Plan, at = 0): Standing {
  return {
    done: new Uint8Array(of.minutes.length),
    opened: new Uint8Array(of.accessMinutes.length),
    at,
    alive: of.hypotheses.map((_, index) => index),
  }
}

/** One check a cause: row 1 at its own check, row 0 at the others. */
export function oneEach(weights: number[], minutes: number[], before: number[][] = []): Plan {
  const hypotheses = weights.map((weight, cause) => ({
    weight,
    cause,
    rows: Int16Array.from(minutes, (_, check) => (check === cause ? 1 : 0)),
    proofs: [cause],
  }))
  return plan({ minutes, hypotheses, prerequisites: minutes.map((_, check) => before[check] ?? []) })
}

/**
 * The least weighted minutes over every order of checks, each free to differ with what was found: all of them are
 * walked, nothing is remembered and nothing is cut short. Written from the rule alone, apart from the program.
 */
export function bruteForce(of: Plan, alive: Hypothesis[], done: number[] = []): number {
  const causes = new Set(alive.filter(h => h.cause >= 0).map(h => h.cause))
  const provedBy = alive.filter(h => h.cause >= 0)
  const shown = provedBy.some(h => h.proofs.length === 0 || h.proofs.some(check => done.includes(check)))
  if (causes.size === 0 || (causes.size === 1 && shown)) return 0
  let best = Number.POSITIVE_INFINITY
  for (let check = 0; check < of.minutes.length; check++) {
    const ready = (of.prerequisites[check] ?? []).every(first => done.includes(first))
    const barred = (of.barredBy[check] ?? []).some(bar => done.includes(bar))
    const gate = of.gates[check]
    const led =
      !gate ||
      gate.entries.some(entry => done.includes(entry)) ||
      gate.steps.some(step => done.includes(step.check) && alive[0]?.rows[step.check] === step.row)
    if (done.includes(check) || of.closed[check] || !ready || barred || !led) continue
    const access = of.access[check] ?? -1
    const open = access < 0 || done.some(other => of.access[other] === access)
    const cost = (of.minutes[check] ?? 0) + (open ? 0 : (of.accessMinutes[access] ?? 0))
    let total = cost * alive.reduce((sum, h) => sum + h.weight, 0)
    for (const row of new Set(alive.map(h => h.rows[check]))) {
      total += bruteForce(
        of,
        alive.filter(h => h.rows[check] === row),
        [...done, check],
      )
    }
    best = Math.min(best, total)
  }
  return best
}

/** Random plans: up to `most` checks, a few accesses, orders to keep, checks that bar others, closed checks. */
export function plans(most: number): fc.Arbitrary<Plan> {
  return fc.integer({ min: 1, max: most }).chain(checks => {
    const list = <T>(item: fc.Arbitrary<T>) => fc.array(item, { minLength: checks, maxLength: checks })
    const some = fc.array(fc.nat({ max: checks - 1 }), { maxLength: 2 })
    const hypothesis = fc.record({
      weight: fc.integer({ min: 0, max: 20 }),
      cause: fc.integer({ min: -1, max: 4 }),
      rows: list(fc.nat({ max: 2 })).map(rows => Int16Array.from(rows)),
      proofs: fc.uniqueArray(fc.nat({ max: checks - 1 }), { maxLength: 2 }),
    })
    const gate = fc.record({
      steps: fc.array(fc.record({ check: fc.nat({ max: checks - 1 }), row: fc.nat({ max: 2 }) }), {
        maxLength: 2,
      }),
      entries: some,
    })
    return fc.record({
      gates: list(fc.oneof({ weight: 6, arbitrary: fc.constant(null) }, { weight: 1, arbitrary: gate })),
      minutes: list(fc.integer({ min: 0, max: 15 })),
      access: list(fc.integer({ min: -1, max: 1 })),
      accessMinutes: fc.constant([3, 12]),
      // Only earlier checks come first, so that there is no circle.
      prerequisites: list(some).map(all => all.map((first, check) => first.filter(other => other < check))),
      barredBy: list(
        fc.oneof({ weight: 4, arbitrary: fc.constant<number[]>([]) }, { weight: 1, arbitrary: some }),
      ),
      closed: list(fc.nat({ max: 7 }).map(chance => chance === 0)),
      hypotheses: fc.array(hypothesis, { minLength: 1, maxLength: 6 }),
    })
  })
}
