import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { AuthorOrder } from '../../../server/diagnosis/ordering/author-order.ts'
import { exactOrder } from '../../../server/diagnosis/ordering/exact.ts'
import { type Plan, settled } from '../../../server/diagnosis/ordering/plan.ts'
import { plannedOrder, plannedRest } from '../../../server/diagnosis/ordering/planned-order.ts'
import { sweepOf, weightIn } from '../../../server/diagnosis/ordering/sweep.ts'
import { atStart, oneEach, plans } from './plans.ts'

function chainOf({ minutes }: Plan): AuthorOrder {
  const onward = minutes.map((_, check) => Int32Array.of(check + 1 < minutes.length ? check + 1 : -1, -1, -1))
  return { start: 0, onward, rowsFound: new Int32Array(minutes.length).fill(-1), planned: null }
}

/** Expected minutes of following the planned order from the start. */
function minutesOf(plan: Plan, order: AuthorOrder): number {
  const sweep = sweepOf(plan, atStart(plan), order)
  const all = sweep.alive.length
  return plannedRest(sweep, 0, all, 0, -1) / weightIn(sweep, 0, all)
}

describe('an order planned beforehand', () => {
  it('is near the best of all on the average, and never sooner', () => {
    const sums = { planned: 0, best: 0, author: 0 }
    fc.assert(
      fc.property(plans(7), random => {
        const free = {
          ...random,
          barredBy: random.barredBy.map(() => []),
          gates: random.gates.map(() => null),
        }
        const ready = settled(free, atStart(free))
        const best = exactOrder(ready, atStart(ready), 1_000_000)
        fc.pre(best !== null && best.expected > 0 && ready.hypotheses.some(h => h.weight > 0))
        const order = chainOf(ready)
        const planned = minutesOf(ready, { ...order, planned: plannedOrder(ready, atStart(ready), order) })
        expect(planned).toBeGreaterThanOrEqual((best?.expected ?? 0) - 1e-9)
        sums.planned += planned
        sums.best += best?.expected ?? 0
        sums.author += minutesOf(ready, order)
      }),
      { seed: 11, numRuns: 300 },
    )
    expect(sums.planned).toBeLessThan(sums.best * 1.02)
    expect(sums.author).toBeGreaterThan(sums.best * 1.2)
  })

  it('names no check twice on one way, and leads on by rows only', () => {
    fc.assert(
      fc.property(plans(7), random => {
        const ready = settled(random, atStart(random))
        const planned = plannedOrder(ready, atStart(ready), chainOf(ready))
        const seen = new Set<number>()
        const visit = (node: number, done: number[]) => {
          const check = planned?.checks[node] ?? -1
          expect(done).not.toContain(check)
          expect(seen.has(node)).toBe(false)
          seen.add(node)
          for (const child of planned?.next[node] ?? []) if (child >= 0) visit(child, [...done, check])
        }
        if (planned && planned.checks.length > 0) visit(0, [])
        expect(seen.size).toBe(planned?.checks.length ?? 0)
      }),
      { seed: 12, numRuns: 200 },
    )
  })

  it('is nothing where the cause is known already', () => {
    const known = oneEach([1], [5])
    const proven = { ...known, hypotheses: known.hypotheses.map(one => ({ ...one, proofs: [] })) }
    expect(plannedOrder(proven, atStart(proven), chainOf(proven))).toBeNull()
  })
})

describe('the best order, sought under a limit', () => {
  it('is the same where it is under it, and otherwise there is none sooner', () => {
    fc.assert(
      fc.property(plans(8), fc.double({ min: 0.5, max: 1.5, noNaN: true }), (random, factor) => {
        const ready = settled(random, atStart(random))
        const whole = exactOrder(ready, atStart(ready), 1_000_000)
        fc.pre(whole !== null && Number.isFinite(whole.expected) && whole.expected > 0)
        fc.pre(ready.hypotheses.some(h => h.weight > 0) && Math.abs(factor - 1) > 1e-6)
        const best = whole?.expected ?? 0
        const sought = exactOrder(ready, atStart(ready), 1_000_000, best * factor)
        if (factor < 1) expect(sought).toBe('none sooner')
        else expect(sought).toMatchObject({ expected: expect.closeTo(best, 8) })
      }),
      { seed: 13, numRuns: 300 },
    )
  })
})
