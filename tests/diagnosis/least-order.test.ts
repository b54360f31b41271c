import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { authorPolicy } from '../../server/diagnosis/author-order.ts'
import { floorOf } from '../../server/diagnosis/least-order.ts'
import { type Plan, settled } from '../../server/diagnosis/plan.ts'
import { run } from '../../server/diagnosis/run.ts'
import { atStart, bruteForce, oneEach, plans } from './plans.ts'

/** An author's order that leads nowhere, so that only the plan's constraints say what may be done. */
const nowhere = (checks: number) => ({
  start: -1,
  onward: Array.from({ length: checks }, () => Int32Array.of(-1, -1, -1)),
  found: new Int32Array(checks).fill(-1),
})
const chain = (checks: number) => ({
  ...nowhere(checks),
  start: 0,
  onward: Array.from({ length: checks }, (_, at) => Int32Array.of(at + 1 < checks ? at + 1 : -1, -1, -1)),
})

/** Without "something not in this tree", which the floor leaves out. */
function caused(random: Plan) {
  const standing = atStart(random)
  const inside = random.hypotheses.map(h =>
    h.cause < 0 ? { ...h, cause: 9, weight: h.weight + 1 } : { ...h, weight: h.weight + 1 },
  )
  const ready = settled({ ...random, hypotheses: inside }, standing)
  return { ready, standing, weight: ready.hypotheses.reduce((sum, h) => sum + h.weight, 0) }
}

describe('the floor under every order', () => {
  it('is what the best of every order takes, and never above it under random constraints, for up to 7 checks', {
    timeout: 120_000,
  }, () => {
    const tried = { free: [] as boolean[], bound: [] as boolean[] }
    fc.assert(
      fc.property(plans(7), random => {
        const { ready, standing, weight } = caused(random)
        const best = bruteForce(ready, ready.hypotheses)
        fc.pre(Number.isFinite(best))
        const floor = floorOf(ready, standing, nowhere(random.minutes.length), 1e9)
        expect(floor.minutes * weight).toBeLessThanOrEqual(best + 1e-8)
        if (best === 0) return
        const ordered = [...random.before, ...random.barredBy].some(list => list.length > 0)
        const bound = ordered || random.gates.some(gate => gate !== null) || random.closed.some(Boolean)
        const equal = floor.minutes * weight > best - 1e-8
        // Where nothing that tells is allowed the author's order breaks a rule, so the floor must let all orders.
        if (!bound) expect(equal).toBe(true)
        tried[bound ? 'bound' : 'free'].push(equal)
      }),
      { seed: 20261125, numRuns: 300 },
    )
    expect(tried.free.length).toBeGreaterThan(10)
    const reached = tried.bound.filter(Boolean).length
    expect(reached).toBeGreaterThan(tried.bound.length / 2)
  })

  it('is never above the best order, however little work it may take and however it is sought', () => {
    fc.assert(
      fc.property(plans(5), fc.integer({ min: 0, max: 2000 }), (random, work) => {
        const { ready, standing, weight } = caused(random)
        const best = bruteForce(ready, ready.hypotheses) / weight
        fc.pre(Number.isFinite(best))
        for (const enough of [[Number.POSITIVE_INFINITY], [best / 2, best / 1.1, best]]) {
          const floor = floorOf(ready, standing, nowhere(random.minutes.length), work, enough)
          expect(floor.minutes).toBeLessThanOrEqual(best + 1e-8)
        }
      }),
      { seed: 11, numRuns: 400 },
    )
  })

  it('is never above the author’s order, however little work it may take', () => {
    fc.assert(
      fc.property(plans(8), fc.integer({ min: 0, max: 2000 }), (random, work) => {
        const { ready, standing } = caused(random)
        const order = chain(random.minutes.length)
        const onward = (check: number, row: number) => order.onward[check]?.[row] ?? -1
        fc.pre(Number.isFinite(bruteForce(ready, ready.hypotheses)))
        const author = run(ready, standing, authorPolicy(ready, order), onward).expected
        expect(floorOf(ready, standing, order, work).minutes).toBeLessThanOrEqual(author + 1e-8)
      }),
      { seed: 3, numRuns: 200 },
    )
  })

  it('is the ratio rule’s total for checks of one cause each, without any search (Smith 1956; computed)', () => {
    const [weights, minutes] = [
      [6, 11, 9, 5],
      [3, 5, 7, 4],
    ]
    const jobs = oneEach(weights, minutes)
    // Pinedo, Scheduling, chapter 3: the total of the best order is 333 (read in source).
    expect(floorOf(jobs, atStart(jobs), nowhere(4), 0).minutes * 31).toBeCloseTo(333, 9)
  })

  it('needs nothing where nothing may be wrong', () => {
    const none = oneEach([0, 0], [3, 4])
    expect(floorOf(none, atStart(none), nowhere(2), 10)).toEqual({ minutes: 0, reached: true })
  })
})
