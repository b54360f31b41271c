import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  compareIntervals,
  deadShare,
  explainDeadShare,
  visitState,
} from '../../../server/history/positions/dead-time.ts'
import { unseenRate } from '../../../server/history/positions/unseen-rate.ts'
import { seeded } from '../chance.ts'

const day = 86_400_000

describe('time dead between visits', () => {
  const load = fc.double({ min: 1e-9, max: 50, noNaN: true })

  it('is a share, below the short form, and rises with the interval', () => {
    fc.assert(
      fc.property(load, x => {
        const share = deadShare(x, 1)
        expect(share).toBeGreaterThan(0)
        expect(share).toBeLessThan(Math.min(1, x / 2 + 1e-15))
        expect(deadShare(x, 2)).toBeGreaterThan(share)
      }),
    )
  })

  it('joins the series and the closed form without a step', () => {
    expect(deadShare(0.0009999999, 1)).toBeCloseTo(deadShare(0.0010000001, 1), 9)
  })

  it('agrees with counting it', () => {
    const random = seeded(8)
    let dead = 0
    for (let i = 0; i < 200_000; i++) dead += Math.max(0, 90 - random.exponential(300)) / 90
    expect(dead / 200_000).toBeCloseTo(deadShare(1 / 300, 90), 2)
  })

  it('says what another interval would buy', () => {
    const [often, seldom] = compareIntervals(0.3 / 365.25, [45, 90])
    expect(often?.visitsPerYear).toBeCloseTo(8.117, 3)
    expect((seldom?.deadDaysPerYear ?? 0) / (often?.deadDaysPerYear ?? 1)).toBeCloseTo(2, 1)
    expect(explainDeadShare(0.3 / 365.25, 90).words).toBe(
      'Not protecting 3.6 % of the time on average, 13 days a year',
    )
  })
})

describe('visits', () => {
  it('fall due by the interval from when it was last seen healthy', () => {
    expect(visitState(0, 90, 0.001, 50 * day).state).toBe('not yet')
    expect(visitState(0, 90, 0.001, 85 * day).state).toBe('due')
    expect(visitState(0, 90, 0.001, 91 * day)).toMatchObject({ state: 'overdue', dueMs: 90 * day })
    expect(visitState(0, 90, 0.001, 91 * day).deadNow).toBeCloseTo(1 - Math.exp(-0.091), 12)
  })
})

describe('the rate of unseen failures', () => {
  it('is found from what visits find', () => {
    const random = seeded(4)
    const visits = Array.from({ length: 5000 }, () => {
      const daysSinceHealthy = 60 + random.below(60)
      return { daysSinceHealthy, foundDead: random.exponential(700) < daysSinceHealthy }
    })
    const rate = unseenRate(visits).value
    expect(rate?.low).toBeLessThan(1 / 700)
    expect(rate?.high).toBeGreaterThan(1 / 700)
    expect(rate?.perDay).toBeCloseTo(1 / 700, 3)
  })

  it('at equal intervals is −ln(1 − share found dead) / interval', () => {
    const visits = Array.from({ length: 10 }, (_, i) => ({ daysSinceHealthy: 90, foundDead: i < 3 }))
    expect(unseenRate(visits).value?.perDay).toBeCloseTo(-Math.log(0.7) / 90, 12)
  })

  it('has an upper bound with none found, and cannot be told without visits or when all were dead', () => {
    const alive = { daysSinceHealthy: 100, foundDead: false }
    expect(unseenRate([alive, alive]).value).toEqual({
      perDay: 0,
      low: 0,
      high: expect.closeTo(2.995732 / 200, 7),
    })
    expect(unseenRate([]).value).toBeNull()
    expect(unseenRate([{ ...alive, foundDead: true }]).value).toBeNull()
  })
})
