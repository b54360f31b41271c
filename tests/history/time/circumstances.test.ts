import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dataQuality, type RecordedFault } from '../../../server/history/data-quality.ts'
import {
  explainTogether,
  failingTogether,
  findCommonCauses,
} from '../../../server/history/positions/common-cause.ts'
import { serviceDays } from '../../../server/history/positions/exposure.ts'
import { rateRatio } from '../../../server/history/positions/rate-ratio.ts'
import { daysSoonAfter, explainAfterWork, linkToWork } from '../../../server/history/time/after-work.ts'
import { countByMonth, daysOf, monthsOf, serviceOfDays } from '../../../server/history/time/calendar.ts'
import { sliceByBand, sliceRates, slicesDiffer } from '../../../server/history/time/weather.ts'

const day = 86_400_000

describe('calendar months', () => {
  it('begin at local midnight, summer time or not', () => {
    const months = monthsOf({ fromMs: Date.UTC(2025, 0, 10), toMs: Date.UTC(2026, 0, 1) }, 'Europe/London')
    expect(months).toHaveLength(12)
    expect(new Date(months[6]?.fromMs ?? 0).toISOString()).toBe('2025-06-30T23:00:00.000Z')
    expect(new Date(months[10]?.fromMs ?? 0).toISOString()).toBe('2025-11-01T00:00:00.000Z')
    expect(months.slice(1).map(m => m.fromMs)).toEqual(months.slice(0, -1).map(m => m.toMs))
  })

  it('count events where they fall and let go those outside', () => {
    const months = monthsOf({ fromMs: Date.UTC(2025, 0, 1), toMs: Date.UTC(2025, 2, 1) }, 'UTC')
    const counts = countByMonth(
      [Date.UTC(2024, 11, 31), Date.UTC(2025, 0, 1), Date.UTC(2025, 1, 28, 23), Date.UTC(2025, 2, 1)],
      months,
    )
    expect([...counts]).toEqual([1, 1])
  })
})

describe('calendar days', () => {
  it('are as long as the clock makes them, and cut off at the ends of the window', () => {
    const window = { fromMs: Date.UTC(2025, 2, 29, 6), toMs: Date.UTC(2025, 2, 31, 12) }
    const days = daysOf(window, 'Europe/London')
    expect(days.map(one => [one.day, (one.toMs - one.fromMs) / 3_600_000])).toEqual([
      ['2025-03-29', 18],
      ['2025-03-30', 23],
      ['2025-03-31', 13],
    ])
    expect(daysOf({ fromMs: window.fromMs, toMs: window.fromMs }, 'UTC')).toEqual([])
  })

  it('have the service of every position, however it lies to them', () => {
    const window = { fromMs: Date.UTC(2025, 0, 1, 5), toMs: Date.UTC(2025, 0, 11, 3) }
    const days = daysOf(window, 'UTC')
    const services = Array.from({ length: 40 }, (_, i) => ({
      inServiceMs: Date.UTC(2024, 11, 28) + i * 9 * 3_600_000,
      outOfServiceMs: i % 3 === 0 ? null : Date.UTC(2024, 11, 30) + i * 11 * 3_600_000,
    }))
    const total = serviceOfDays(services, days)
    days.forEach((one, i) => {
      const expected = services.reduce((sum, service) => sum + serviceDays(service, one), 0)
      expect(total[i], one.day).toBeCloseTo(expected, 9)
    })
  })
})

describe('season and weather', () => {
  const wet = { label: 'wet', faults: 40, serviceDays: 1000 }
  const dry = { label: 'dry', faults: 20, serviceDays: 2000 }

  it('compare rates, not counts', () => {
    const [w, d] = sliceRates([wet, dry])
    expect(w?.ratio).toBeCloseTo(2, 12)
    expect(d?.ratio).toBeCloseTo(0.5, 12)
    expect(w?.low).toBeGreaterThan(1)
    expect(slicesDiffer([wet, dry])).toMatchObject({
      value: true,
      words: expect.stringContaining('Most in wet: 2 times the usual rate'),
    })
    expect(
      slicesDiffer([
        { ...wet, faults: 20 },
        { ...dry, faults: 40 },
      ]).value,
    ).toBe(false)
  })

  it('cannot say from few faults, nor in time that never was', () => {
    expect(
      slicesDiffer([
        { ...wet, faults: 2 },
        { ...dry, faults: 1 },
      ]).value,
    ).toBeNull()
    expect(sliceRates([{ ...wet, serviceDays: 0 }])[0]?.ratio).toBeNull()
  })

  it('compare no rates without time or faults, and say where there is no end', () => {
    expect(rateRatio({ faults: 3, days: 0 }, { faults: 3, days: 9 })).toBeNull()
    expect(rateRatio({ faults: 0, days: 9 }, { faults: 0, days: 9 })).toBeNull()
    expect(rateRatio({ faults: 0, days: 9 }, { faults: 4, days: 9 })).toMatchObject({
      ratio: 0,
      low: 0,
      chance: expect.closeTo(1 / 8, 12),
    })
    expect(rateRatio({ faults: 4, days: 9 }, { faults: 0, days: 9 })).toMatchObject({
      ratio: Infinity,
      high: Infinity,
      chance: expect.closeTo(1 / 8, 12),
    })
  })

  it('have a chance of at most 5 % just where the 95 % limits of the ratio leave out one', () => {
    const counted = fc.record({ faults: fc.nat(40), days: fc.integer({ min: 1, max: 400 }) })
    fc.assert(
      fc.property(counted, counted, (one, other) => {
        const found = rateRatio(one, other)
        if (found === null || Math.abs(found.chance - 0.05) < 1e-9) return
        expect(found.low > 1 || found.high < 1).toBe(found.chance < 0.05)
      }),
      { seed: 95, numRuns: 2000 },
    )
  })

  it('put days into bands, the unknown apart', () => {
    const slices = sliceByBand(
      [
        { figure: -3, faults: 1, serviceDays: 9 },
        { figure: 0, faults: 2, serviceDays: 9 },
        { figure: 30, faults: 0, serviceDays: 9 },
        { figure: null, faults: 5, serviceDays: 9 },
      ],
      [0, 20],
      '°C',
    )
    expect(slices.map(s => [s.label, s.faults])).toEqual([
      ['below 0 °C', 1],
      ['0 to 20 °C', 2],
      ['20 °C and above', 0],
      ['not known', 5],
    ])
  })
})

describe('after work', () => {
  const works = [
    { id: 'w1', positionId: 'A', atMs: 0, words: 'module changed' },
    { id: 'w2', positionId: 'B', atMs: 95 * day, words: 'cable jointed' },
  ]
  const neighboursOf = (id: string) => (id === 'A' ? ['B'] : ['A'])

  it('links a fault to the latest work on it or beside it, long kept, and marks the soon', () => {
    const faults = [
      { id: 'f1', positionId: 'A', atMs: 90 * day },
      { id: 'f2', positionId: 'A', atMs: 100 * day },
      { id: 'f3', positionId: 'A', atMs: 700 * day },
    ]
    const links = [...linkToWork(faults, works, { neighboursOf })]
    expect(links.map(l => [l.faultId, l.work.id, l.where, l.soon])).toEqual([
      ['f1', 'w1', 'same', false],
      ['f2', 'w2', 'neighbour', true],
    ])
  })

  it('does not blame work done after the fault', () => {
    expect([...linkToWork([{ id: 'f', positionId: 'A', atMs: 0 }], works, { neighboursOf })]).toEqual([])
  })

  it('counts days soon after work once', () => {
    expect(daysSoonAfter([0, 10 * day, 100 * day], { fromMs: 5 * day, toMs: 110 * day })).toBe(35 + 10)
  })

  it('compares with the rest of the time', () => {
    expect(explainAfterWork({ faults: 12, days: 100 }, { faults: 30, days: 1900 }).words).toBe(
      '12 faults soon after work; 1 would be usual; less than 1 chance in 1,000,000 by luck',
    )
    expect(explainAfterWork({ faults: 1, days: 100 }, { faults: 20, days: 2000 }).value).toBeGreaterThan(0.5)
    expect(explainAfterWork({ faults: 0, days: 0 }, { faults: 0, days: 0 }).value).toBeNull()
  })
})

describe('failing together', () => {
  const supply = { name: 'the north supply', positionIds: ['A', 'B', 'C'] }
  const other = { name: 'the south supply', positionIds: ['D', 'E'] }
  const at = (positionId: string, onDay: number) => ({
    id: `${positionId}${onDay}`,
    positionId,
    atMs: onDay * day,
  })
  const faults = [
    at('A', 10),
    at('B', 10.2),
    at('A', 100),
    at('C', 100.5),
    at('B', 300),
    at('C', 300.1),
    at('D', 20),
    at('E', 500),
    at('D', 501.5),
  ]

  it('stands out when a supply is shared', () => {
    const together = failingTogether(faults, [supply, other], 730 * day)
    expect(together[0]?.clusters).toHaveLength(3)
    expect(findCommonCauses(together).map(f => f.row.shared.name)).toEqual(['the north supply'])
    const [found] = findCommonCauses(together)
    expect(found && explainTogether(found.row, found).words).toMatch(
      /^Positions on the north supply failed together 3 times, 3 faults soon after another; 0\.03\d* would be usual/,
    )
    expect(found && explainTogether(found.row, found).words).toMatch(/, counting all 2 looked at$/)
    expect(found?.adjusted).toBeGreaterThan(found?.row.chance ?? 1)
  })

  it('is not two faults of one position', () => {
    const [own] = failingTogether([at('D', 1), at('D', 1.1)], [other], 730 * day)
    expect(own?.clusters).toEqual([])
  })
})

describe('data quality', () => {
  const good: RecordedFault = {
    id: 'f',
    positionKnown: true,
    positionId: 'A',
    symptom: 'dead',
    reportedMs: 0,
    recordedMs: 0,
    closedMs: day,
    cause: 'x',
    freeText: true,
    open: false,
  }

  it('counts each defect once and says how it bends the figures', () => {
    const faults = [
      good,
      { ...good, reportedMs: 1000, recordedMs: 1000 },
      { ...good, reportedMs: 3 * day, recordedMs: 5 * day, cause: null, freeText: false, closedMs: 2 * day },
      {
        ...good,
        reportedMs: 9 * day,
        recordedMs: 9 * day,
        cause: null,
        closedMs: 10 * day,
        positionKnown: false,
      },
      { ...good, reportedMs: 12 * day, recordedMs: 12 * day, cause: null, closedMs: null, open: true },
    ]
    const quality = dataQuality(faults, { asAtMs: 20 * day })
    const counts = Object.fromEntries(
      Object.entries(quality).map(([defect, e]) => [defect, e.terms[0]?.value]),
    )
    expect(counts).toEqual({
      'missing cause': 1,
      'free text only': 1,
      'late entry': 1,
      'unknown position': 1,
      duplicate: 1,
      'impossible times': 1,
    })
    expect(quality.duplicate.words).toBe('20 % of 5: rates and repeat shares are too high')
  })

  it('says nothing of nothing', () => expect(dataQuality([], { asAtMs: 0 }).duplicate.value).toBeNull())
})
