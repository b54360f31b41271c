import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { reversalChances, risingPairs } from '../../../server/history/readings/reversals.ts'
import { type History, meanCumulative } from '../../../server/history/time/cumulative.ts'
import { faultTrend } from '../../../server/history/time/fault-trend.ts'
import { meanTimeBetween } from '../../../server/history/time/mean-time-between.ts'
import { laplace, militaryHandbook, reverseArrangement } from '../../../server/history/time/trend-tests.ts'
import { seeded } from '../chance.ts'

const worsening = [300, 500, 620, 700, 760, 810, 850, 880, 910, 930, 950, 970]
const steady = [80, 160, 250, 330, 410, 500, 580, 660, 750, 830, 910]
const ending = { by: 'time', at: 1000 } as const

describe('trend in faults', () => {
  it('is told apart from none, with the three tests beside it', () => {
    expect(faultTrend(worsening, ending).value).toBe('worse')
    expect(faultTrend(worsening.map(t => 1000 - t).reverse(), ending).value).toBe('better')
    expect(faultTrend(steady, ending).value).toBe('none seen')
    expect(faultTrend(steady, ending).terms.map(t => t.name)).toContain('reverse arrangement')
  })

  it('is not seen more often than stated where times are whole days and gaps are equal', () => {
    const random = seeded(15)
    let fired = 0
    for (let i = 0; i < 2000; i++) {
      let at = 0
      // Written down to the day, from a window that begins in the middle of one.
      const times = Array.from({ length: 15 }, () => {
        at += random.exponential(3)
        return Math.floor(at) + 0.37
      })
      if ((reverseArrangement(times)?.worse ?? 1) <= 0.025) fired++
    }
    // 2.5 % of 2000 and three standard deviations; taken for different, equal gaps gave 7 %.
    expect(fired / 2000).toBeLessThan(0.036)
    expect(fired / 2000).toBeGreaterThan(0.01)
  })

  it('cannot be told from two faults', () => {
    expect(faultTrend([5, 90], ending)).toMatchObject({ value: null, chance: null })
  })

  it('is unmoved by the unit of time', () => {
    const times = fc.array(fc.double({ min: 1, max: 999, noNaN: true }), { minLength: 3, maxLength: 30 })
    fc.assert(
      fc.property(times, ts => {
        const sorted = ts.toSorted((a, b) => a - b)
        const inHours = laplace(
          sorted.map(t => 24 * t),
          { by: 'time', at: 24_000 },
        )
        expect(inHours?.statistic).toBeCloseTo(laplace(sorted, ending)?.statistic ?? 0, 9)
        const chance = militaryHandbook(sorted, ending)
        expect((chance?.worse ?? 0) + (chance?.better ?? 0)).toBeCloseTo(1, 9)
      }),
    )
  })

  it('ended by a fault, takes the last fault as the end', () => {
    expect(militaryHandbook([10, 20, 30], { by: 'fault' })).toEqual(
      militaryHandbook([10, 20], { by: 'time', at: 30 }),
    )
  })

  it('calls a trend on one quiet history in twenty', () => {
    const random = seeded(3)
    const runs = 2000
    let called = 0
    for (let run = 0; run < runs; run++) {
      const times = Array.from({ length: 3 + random.below(8) }, () => 1000 * random.next()).sort(
        (a, b) => a - b,
      )
      if (faultTrend(times, ending).value !== 'none seen') called++
    }
    expect(called / runs).toBeGreaterThan(0.035)
    expect(called / runs).toBeLessThan(0.065)
  })
})

describe('reversals in random order', () => {
  it('are counted as looking at every pair would', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 9 }), { maxLength: 30 }), values => {
        expect(risingPairs(values)).toBe(rising(values))
      }),
    )
  })

  it('agree with every order of five', () => {
    const orders = permutations([1, 2, 3, 4, 5]).map(rising)
    for (let r = 0; r <= 10; r++) {
      expect(reversalChances(5, r).atLeast).toBeCloseTo(orders.filter(o => o >= r).length / 120, 12)
      expect(reversalChances(5, r).atMost).toBeCloseTo(orders.filter(o => o <= r).length / 120, 12)
    }
  })

  it('pass over to the normal curve without a jump', () => {
    expect(reversalChances(61, 1000).atLeast).toBeCloseTo(reversalChances(60, 968).atLeast, 1)
  })
})

describe('mean time between faults', () => {
  it('is not given while there is a trend', () => {
    const given = meanTimeBetween(12, 1000, faultTrend(worsening, ending))
    expect(given.value).toBeNull()
    expect(given.words).toContain('No single figure while there is a trend. Getting worse')
  })

  it('is given with n, exposure and interval when there is none', () => {
    const given = meanTimeBetween(11, 1000, faultTrend(steady, ending))
    expect(given.value?.days).toBeCloseTo(1000 / 11, 9)
    expect(given.words).toContain('n = 11')
    expect(given.terms.map(t => t.name)).toEqual(['faults', 'service', 'low', 'high'])
  })

  it('has only a lower bound at zero faults and none without service', () => {
    expect(meanTimeBetween(0, 400, null).words).toContain(
      'No fault in 13 months of service: at least 4 months',
    )
    expect(meanTimeBetween(0, 0, null).value).toBeNull()
  })
})

describe('mean cumulative count', () => {
  const history = fc.record({
    end: fc.integer({ min: 1, max: 60 }),
    events: fc.array(fc.integer({ min: 1, max: 60 }), { maxLength: 6 }),
  })
  const group = fc.array(history, { minLength: 1, maxLength: 15 })

  it('rises, stays inside its limits, and its robust variance is the sum over positions', () => {
    fc.assert(
      fc.property(group, histories => {
        const points = meanCumulative(histories)
        points.forEach((point, i) => {
          expect(point.mean).toBeGreaterThan(points[i - 1]?.mean ?? 0)
          expect(point.low).toBeLessThanOrEqual(point.mean)
          expect(point.high).toBeGreaterThanOrEqual(point.mean)
        })
        const last = points.at(-1)
        if (last !== undefined) expect(last.variance).toBeCloseTo(slowVariance(histories, last.at), 9)
      }),
    )
  })

  it('is the plain count for one position', () => {
    expect(meanCumulative([{ events: [3, 9, 20], end: 30 }]).map(p => p.mean)).toEqual([1, 2, 3])
  })
})

/** Lawless and Nadeau's double sum as written. */
function slowVariance(histories: readonly History[], until: number): number {
  const seen = histories.map(h => ({ end: h.end, events: h.events.filter(t => t <= h.end && t <= until) }))
  const times = [...new Set(seen.flatMap(h => h.events))]
  return seen.reduce((total, h) => {
    const lead = times
      .filter(t => t <= h.end)
      .reduce((sum, t) => {
        const risk = seen.filter(o => o.end >= t).length
        const all = seen.flatMap(o => o.events).filter(e => e === t).length
        return sum + (h.events.filter(e => e === t).length - all / risk) / risk
      }, 0)
    return total + lead * lead
  }, 0)
}

function permutations(values: number[]): number[][] {
  if (values.length < 2) return [values]
  return values.flatMap(v => permutations(values.filter(o => o !== v)).map(rest => [v, ...rest]))
}

function rising(order: number[]): number {
  return order.reduce((total, v, i) => total + order.slice(i + 1).filter(later => later > v).length, 0)
}
