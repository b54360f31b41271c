import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { adjustForMany } from '../../../server/history/false-discovery.ts'
import { serviceDays } from '../../../server/history/positions/exposure.ts'
import { faultRate } from '../../../server/history/positions/fault-rate.ts'
import { funnel, funnelLimit } from '../../../server/history/positions/funnel.ts'
import {
  chanceWorse,
  fitKind,
  posteriorLimits,
  posteriorRate,
} from '../../../server/history/positions/kind-fit.ts'
import {
  chanceTwice,
  compareWithKind,
  type Exposed,
  explainOffender,
} from '../../../server/history/positions/offenders.ts'
import { seeded } from '../chance.ts'

const day = 86_400_000

function alike(count: number, faults: number, days: number): Exposed[] {
  return Array.from({ length: count }, (_, i) => ({ id: `p${i}`, kind: 'loop', faults, serviceDays: days }))
}

describe('time in service', () => {
  it('counts from commissioning to recovery inside the window, less outages counted once', () => {
    const service = {
      inServiceMs: 10 * day,
      outOfServiceMs: 90 * day,
      outages: [
        { fromMs: 20 * day, toMs: 30 * day },
        { fromMs: 25 * day, toMs: 35 * day },
        { fromMs: 80 * day, toMs: 120 * day },
      ],
    }
    expect(serviceDays(service, { fromMs: 0, toMs: 100 * day })).toBe(80 - 15 - 10)
  })

  it('is nothing for a position not yet or no longer there', () => {
    const window = { fromMs: 0, toMs: 100 * day }
    expect(serviceDays({ inServiceMs: 200 * day, outOfServiceMs: null }, window)).toBe(0)
    expect(serviceDays({ inServiceMs: -50 * day, outOfServiceMs: -10 * day }, window)).toBe(0)
  })
})

describe('a rate', () => {
  it('comes with limits that hold it and with its terms', () => {
    const rate = faultRate(5, 426)
    expect(rate.value?.low).toBeLessThan(rate.value?.perYear ?? 0)
    expect(rate.value?.high).toBeGreaterThan(rate.value?.perYear ?? 0)
    expect(rate.terms.map(t => t.name)).toEqual(['faults', 'service', 'low', 'high'])
  })

  it('is not given without time in service', () => expect(faultRate(3, 0).value).toBeNull())
})

describe('comparing with the kind', () => {
  it('says it in plain words', () => {
    const rows = [...alike(20, 1, 710), { id: 'bad', kind: 'loop', faults: 5, serviceDays: 426 }]
    const worst = compareWithKind(rows)[0]
    expect(worst?.id).toBe('bad')
    expect(worst && explainOffender(worst).words).toBe(
      '5 faults in 14 months; 0.6 would be usual; less than 1 chance in 50 by luck, counting all 21 looked at',
    )
    expect(worst?.stands).toBe('out')
  })

  it('names every term of the figure, and the figure is the posterior rate a year', () => {
    const worst = compareWithKind([
      ...alike(9, 2, 365),
      { id: 'x', kind: 'loop', faults: 9, serviceDays: 365 },
    ])[0]
    expect(worst).toBeDefined()
    if (worst === undefined || worst.fit === null) return
    const explained = explainOffender(worst)
    expect(explained.value).toBeCloseTo(365.25 * posteriorRate(worst.fit, 9, 365), 10)
    expect(explained.terms.map(t => t.name)).toEqual([
      'faults',
      'service',
      'expected',
      'by luck',
      'adjusted',
      'rate',
      'worse than twice',
      'spread',
    ])
  })

  it('does not compare the only one of its kind', () => {
    const only = compareWithKind([{ id: 'a', kind: 'loop', faults: 9, serviceDays: 100 }])[0]
    expect(only?.byLuck).toBeNull()
    expect(only && explainOffender(only).value).toBeNull()
  })

  it('keeps kinds apart', () => {
    const busy = alike(10, 8, 365).map(row => ({ ...row, kind: 'busy' }))
    const rows = compareWithKind([...busy, ...alike(10, 0, 365)])
    expect(rows.every(row => row.stands === 'with the rest')).toBe(true)
  })

  it('counts longer service in a position’s favour', () => {
    const rows = compareWithKind([
      ...alike(30, 1, 300),
      { id: 'old', kind: 'loop', faults: 4, serviceDays: 1200 },
    ])
    expect(rows.find(row => row.id === 'old')?.stands).toBe('with the rest')
  })

  it('never gives NaN, and a chance is a chance', () => {
    const row = fc.record({
      id: fc.string(),
      kind: fc.constantFrom('a', 'b'),
      faults: fc.nat(30),
      serviceDays: fc.oneof(fc.constant(0), fc.double({ min: 0.1, max: 5000, noNaN: true })),
    })
    fc.assert(
      fc.property(fc.array(row, { maxLength: 12 }), rows => {
        for (const compared of compareWithKind(rows)) {
          for (const chance of [compared.byLuck, compared.adjusted, chanceTwice(compared)]) {
            if (chance === null) continue
            expect(chance).toBeGreaterThanOrEqual(0)
            expect(chance).toBeLessThanOrEqual(1)
          }
          expect(Number.isNaN(compared.expected ?? 0)).toBe(false)
        }
      }),
    )
  })

  it('one more fault never makes a position look better', () => {
    fc.assert(
      fc.property(fc.nat(10), fc.nat(10), (others, own) => {
        const chance = (faults: number) =>
          compareWithKind([
            ...alike(6, others, 300),
            { id: 'x', kind: 'loop', faults, serviceDays: 200 },
          ]).find(r => r.id === 'x')?.byLuck ?? 1
        expect(chance(own + 1)).toBeLessThanOrEqual(chance(own) + 1e-12)
      }),
    )
  })
})

describe('the spread within a kind', () => {
  it('recovers what it was drawn from', () => {
    const random = seeded(11)
    const days = Array.from({ length: 4000 }, () => 200 + 800 * random.next())
    const counts = days.map(t => random.poisson(random.gamma(2, 400) * t))
    const fit = fitKind(counts, days)
    expect(fit?.shape).toBeGreaterThan(1.8)
    expect(fit?.shape).toBeLessThan(2.2)
    expect(fit?.mean).toBeCloseTo(2 / 400, 3)
    expect(fit?.spread).toBe('seen')
  })

  it('says when there is none beyond luck', () => {
    expect(fitKind([1, 1, 1, 1, 1], [100, 100, 100, 100, 100])?.spread).toBe('none seen')
  })

  it('is null without faults or exposure', () => {
    expect(fitKind([0, 0], [10, 10])).toBeNull()
    expect(fitKind([], [])).toBeNull()
    expect(fitKind([3], [0])).toBeNull()
  })

  it('draws a rate between its own and that of its kind, and its limits hold it', () => {
    fc.assert(
      fc.property(fc.nat(40), fc.double({ min: 1, max: 900, noNaN: true }), (faults, days) => {
        const fit = fitKind([0, 1, 3, 9, 2], [100, 100, 120, 90, 300])
        if (fit === null) throw new Error('no fit')
        const rate = posteriorRate(fit, faults, days)
        const [low, high] = [Math.min(fit.mean, faults / days), Math.max(fit.mean, faults / days)]
        expect(rate).toBeGreaterThanOrEqual(low - 1e-12)
        expect(rate).toBeLessThanOrEqual(high + 1e-12)
        const limits = posteriorLimits(fit, faults, days)
        expect(limits.low).toBeLessThan(rate)
        expect(limits.high).toBeGreaterThan(rate)
        expect(chanceWorse(fit, faults + 1, days)).toBeGreaterThanOrEqual(chanceWorse(fit, faults, days))
      }),
    )
  })
})

describe('the funnel', () => {
  it('has wider limits outside narrower ones, closing in with exposure', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-4, max: 0.1, noNaN: true }),
        fc.double({ min: 1, max: 5000, noNaN: true }),
        (rate, days) => {
          const limit = funnelLimit(rate, days)
          expect(limit.low998).toBeLessThanOrEqual(limit.low95)
          expect(limit.low95).toBeLessThanOrEqual(rate)
          if (rate * days > 0.05) expect(limit.high95).toBeGreaterThan(rate)
          expect(limit.high998).toBeGreaterThanOrEqual(limit.high95)
          if (rate * days > 0.05) expect(funnelLimit(rate, 50 * days).high95).toBeLessThan(limit.high95)
        },
      ),
    )
  })

  it('puts a bad position outside and shows over-dispersion', () => {
    const plot = funnel([...alike(40, 2, 365), { id: 'bad', kind: 'loop', faults: 15, serviceDays: 365 }])
    expect(plot?.points.find(p => p.id === 'bad')?.zone).toBe('outside 99.8 %')
    expect(plot?.points.filter(p => p.zone !== 'inside')).toHaveLength(1)
    expect(plot?.dispersion.words).toContain('more than luck')
  })

  it('cannot measure spread of one', () => expect(funnel(alike(1, 2, 10))?.dispersion.value).toBeNull())
})

describe('many looks at once', () => {
  const chances = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 1, maxLength: 50 })

  it('never makes a chance smaller or larger than one, and keeps their order', () => {
    fc.assert(
      fc.property(chances, ps => {
        const adjusted = adjustForMany(ps)
        ps.forEach((p, i) => {
          expect(adjusted[i]).toBeGreaterThanOrEqual(p * (1 - 1e-12))
          expect(adjusted[i]).toBeLessThanOrEqual(1)
          ps.forEach((other, j) => {
            if (p < other) expect(adjusted[i]).toBeLessThanOrEqual(adjusted[j] ?? 0)
          })
        })
      }),
    )
  })
})
