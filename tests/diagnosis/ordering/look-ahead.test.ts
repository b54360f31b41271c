import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type AuthorOrder, authorPolicy } from '../../../server/diagnosis/ordering/author-order.ts'
import { leastMinutes } from '../../../server/diagnosis/ordering/bound.ts'
import { exactOrder } from '../../../server/diagnosis/ordering/exact.ts'
import { lookAhead, lookAheadPolicy } from '../../../server/diagnosis/ordering/look-ahead.ts'
import { type Plan, settled } from '../../../server/diagnosis/ordering/plan.ts'
import { plannedOrder } from '../../../server/diagnosis/ordering/planned-order.ts'
import { run } from '../../../server/diagnosis/ordering/run.ts'
import { atStart, oneEach, plans } from './plans.ts'

const chain = (checks: number) => ({
  start: 0,
  onward: Array.from({ length: checks }, (_, check) =>
    Int32Array.of(check + 1 < checks ? check + 1 : -1, -1, -1),
  ),
  rowsFound: new Int32Array(checks).fill(-1),
  planned: null,
})

/** Plans that have an order which proves everything; with one worked out beforehand, on other chances, or without. */
function solvable(random: Plan, isPlanned = false) {
  const standing = atStart(random)
  const ready = settled(random, standing)
  const exact = exactOrder(ready, standing, 1_000_000)
  fc.pre(exact !== null && Number.isFinite(exact.expected) && ready.hypotheses.some(h => h.weight > 0))
  const order: AuthorOrder = chain(random.minutes.length)
  if (isPlanned) order.planned = plannedOrder(withOtherChances(ready), standing, order)
  return { ready, standing, best: exact?.expected ?? 0, order }
}

function withOtherChances(plan: Plan): Plan {
  const hypotheses = plan.hypotheses.map((hypothesis, at) => ({ ...hypothesis, weight: 1 + ((at * 5) % 7) }))
  return { ...plan, hypotheses }
}

describe.each([false, true])('looking ahead, an order being planned: %s', isPlanned => {
  it('never promises more than the best order has, nor asks more than the author’s', () => {
    fc.assert(
      fc.property(plans(7), random => {
        const { ready, standing, best, order } = solvable(
          {
            ...random,
            prerequisites: random.prerequisites.map(() => []),
            gates: random.gates.map(() => null),
            barredBy: random.barredBy.map(() => []),
          },
          isPlanned,
        )
        const ahead = lookAhead(ready, standing, order)
        expect(ahead.expected).toBeGreaterThanOrEqual(best - 1e-9)
        expect(ahead.expected).toBeLessThanOrEqual(ahead.author + 1e-9)
      }),
      { seed: 5, numRuns: 300 },
    )
  })

  it('is met, or beaten, by following it', () => {
    fc.assert(
      fc.property(plans(7), random => {
        const { ready, standing, order } = solvable(
          {
            ...random,
            barredBy: random.barredBy.map(() => []),
            gates: random.gates.map(() => null),
          },
          isPlanned,
        )
        const onward = (check: number, row: number) => order.onward[check]?.[row] ?? -1
        const followed = run(ready, standing, lookAheadPolicy(ready, order), onward)
        expect(followed.expected).toBeLessThanOrEqual(lookAhead(ready, standing, order).expected + 1e-9)
      }),
      { seed: 6, numRuns: 200 },
    )
  })

  it('takes the author’s order by the same rule as the walk does', () => {
    fc.assert(
      fc.property(plans(7), random => {
        const { ready, standing, order } = solvable(random, isPlanned)
        const onward = (check: number, row: number) => order.onward[check]?.[row] ?? -1
        const ahead = lookAhead(ready, standing, order)
        fc.pre(Number.isFinite(ahead.author))
        const followed = run(ready, standing, authorPolicy(ready, order), onward)
        expect(followed.expected).toBeCloseTo(ahead.author, 9)
      }),
      { seed: 8, numRuns: 200 },
    )
  })

  it('finds the ratio rule’s order for many checks of one cause each', () => {
    const weights = Array.from({ length: 40 }, (_, index) => 1 + ((index * 17) % 23))
    const minutes = Array.from({ length: 40 }, (_, index) => 1 + ((index * 7) % 12))
    const large = oneEach(weights, minutes)
    const byRatio = weights.map((weight, index) => ({ weight, minutes: minutes[index] ?? 0 }))
    byRatio.sort((a, b) => b.weight / b.minutes - a.weight / a.minutes)
    let [time, total] = [0, 0]
    for (const job of byRatio) {
      time += job.minutes
      total += job.weight * time
    }
    const best = total / weights.reduce((sum, weight) => sum + weight, 0)
    expect(lookAhead(large, atStart(large), chain(40)).expected).toBeLessThan(best * 1.02)
  })
})

describe('the least any order can take', () => {
  it('is never more than the best order takes', () => {
    fc.assert(
      fc.property(plans(7), random => {
        const { ready, standing, best } = solvable(random)
        expect(leastMinutes(ready, standing)).toBeLessThanOrEqual(best + 1e-9)
      }),
      { seed: 9, numRuns: 400 },
    )
  })
})
