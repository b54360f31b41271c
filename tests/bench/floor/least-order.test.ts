import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { authorPolicy } from '../../../server/diagnosis/ordering/author-order.ts'
import { allowed, type Plan, type Policy, settled } from '../../../server/diagnosis/ordering/plan.ts'
import { run } from '../../../server/diagnosis/ordering/run.ts'
import { atStart, bruteForce, oneEach, plans } from '../../diagnosis/ordering/plans.ts'
import { floorOf } from './least-order.ts'

const chain = (checks: number) => ({
  start: 0,
  rowsFound: new Int32Array(checks).fill(-1),
  planned: null,
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
  it('is what the best of every order takes under random constraints, for up to 7 checks', () => {
    let tried = 0
    fc.assert(
      fc.property(plans(7), random => {
        const { ready, standing, weight } = caused(random)
        const best = bruteForce(ready, ready.hypotheses)
        const floor = floorOf(ready, standing, 1e9)
        if (Number.isFinite(best)) expect(floor.minutes * weight).toBeCloseTo(best, 8)
        else expect(floor.minutes).toBe(Number.POSITIVE_INFINITY)
        if (best > 0 && Number.isFinite(best)) tried += 1
      }),
      { seed: 20261125, numRuns: 400 },
    )
    expect(tried).toBeGreaterThan(100)
  })

  it('is never above the best order, however little work it may take and however it is sought', () => {
    fc.assert(
      fc.property(plans(5), fc.integer({ min: 0, max: 2000 }), (random, work) => {
        const { ready, standing, weight } = caused(random)
        const best = bruteForce(ready, ready.hypotheses) / weight
        fc.pre(Number.isFinite(best))
        for (const enough of [[Number.POSITIVE_INFINITY], [best / 2, best / 1.1, best]]) {
          const floor = floorOf(ready, standing, work, enough)
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
        let broken = false
        const policy = authorPolicy(ready, order)
        const watched: Policy = here => {
          const check = policy(here)
          broken ||= check >= 0 && !allowed(ready, here, check)
          return check
        }
        const author = run(ready, standing, watched, onward).expected
        // Where nothing allowed leads on, the walk goes on all the same: that is no order to be measured by.
        fc.pre(!broken && Number.isFinite(bruteForce(ready, ready.hypotheses)))
        expect(floorOf(ready, standing, work).minutes).toBeLessThanOrEqual(author + 1e-8)
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
    expect(floorOf(jobs, atStart(jobs), 0).minutes * 31).toBeCloseTo(333, 9)
  })

  it('needs nothing where nothing may be wrong', () => {
    const none = oneEach([0, 0], [3, 4])
    expect(floorOf(none, atStart(none), 10)).toEqual({ minutes: 0, reached: true })
  })
})
