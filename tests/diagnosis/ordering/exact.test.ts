import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { exactOrder } from '../../../server/diagnosis/ordering/exact.ts'
import { settled } from '../../../server/diagnosis/ordering/plan.ts'
import { run } from '../../../server/diagnosis/ordering/run.ts'
import { atStart, bruteForce, oneEach, plan, plans } from './plans.ts'

const plenty = 1_000_000

describe('the best order', () => {
  it('agrees with walking every order, for up to 8 checks under random constraints', () => {
    let finite = 0
    fc.assert(
      fc.property(plans(8), random => {
        const standing = atStart(random)
        const ready = settled(random, standing)
        const weight = ready.hypotheses.reduce((sum, h) => sum + h.weight, 0)
        fc.pre(weight > 0)
        const exact = exactOrder(ready, standing, plenty)
        const best = bruteForce(ready, ready.hypotheses)
        if (best === Number.POSITIVE_INFINITY) expect(exact?.expected).toBe(best)
        else expect((exact?.expected ?? Number.NaN) * weight).toBeCloseTo(best, 8)
        if (best > 0 && best < Number.POSITIVE_INFINITY && random.minutes.length > 5) finite += 1
      }),
      { seed: 20261125, numRuns: 400 },
    )
    expect(finite).toBeGreaterThan(60)
  })

  it('costs, when followed, what it says it costs', () => {
    fc.assert(
      fc.property(plans(8), random => {
        const standing = atStart(random)
        const ready = settled(random, standing)
        const exact = exactOrder(ready, standing, plenty)
        fc.pre(exact !== null && Number.isFinite(exact.expected) && ready.hypotheses.some(h => h.weight > 0))
        const followed = run(ready, standing, exact?.policy ?? (() => -1), () => -1)
        expect(followed.expected).toBeCloseTo(exact?.expected ?? Number.NaN, 8)
      }),
      { seed: 7, numRuns: 300 },
    )
  })

  it('gives up when the budget is spent, rather than guess', () => {
    const large = oneEach([3, 1, 4, 1, 5, 9, 2, 6], [2, 7, 1, 8, 2, 8, 1, 8])
    expect(exactOrder(large, atStart(large), 3)).toBeNull()
  })

  it('gives up on more checks or causes than it can hold', () => {
    const many = Array.from({ length: 40 }, (_, index) => index + 1)
    const large = oneEach(many, many)
    expect(exactOrder(large, atStart(large), plenty)).toBeNull()
  })

  it('has nothing to do for one cause that needs no proof, and one check for one that does', () => {
    const rows = Int16Array.of(1)
    const free = plan({ minutes: [4], hypotheses: [{ weight: 1, cause: 0, rows, proofs: [] }] })
    const held = plan({ minutes: [4], hypotheses: [{ weight: 1, cause: 0, rows, proofs: [0] }] })
    expect(exactOrder(free, atStart(free), plenty)?.expected).toBe(0)
    expect(exactOrder(held, atStart(held), plenty)?.expected).toBe(4)
  })

  it('pays for an access once', () => {
    const two = { ...oneEach([1, 1], [2, 3]), access: [0, 0], accessMinutes: [10] }
    expect(exactOrder(two, atStart(two), plenty)?.expected).toBe((12 + 15) / 2)
  })

  it('finds no order where none is allowed', () => {
    const barred = { ...oneEach([1, 1], [2, 3]), barredBy: [[1], [0]] }
    expect(exactOrder(barred, atStart(barred), plenty)?.expected).toBe(Number.POSITIVE_INFINITY)
  })
})
