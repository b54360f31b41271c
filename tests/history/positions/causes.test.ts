import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { explainNothingFound, nothingFoundByGroup, wilson } from '../../../server/history/no-fault-found.ts'
import { arrows, logScatter } from '../../../server/history/positions/log-scatter.ts'
import { type Cost, pareto, totalsByCause } from '../../../server/history/positions/pareto.ts'
import { stayedAway } from '../../../server/history/positions/stayed-away.ts'
import { quantile, timeSplit } from '../../../server/history/time/time-split.ts'

const minute = 60_000

function faults(
  cause: string,
  count: number,
  minutes: number | null,
  delayMinutes: number | null = null,
): Cost[] {
  return Array.from({ length: count }, () => ({ cause, minutes, delayMinutes }))
}

const some = totalsByCause([
  ...faults('link', 30, 10),
  ...faults('cable', 2, 300, 900),
  ...faults('supply', 12, 80, 20),
  ...faults('seal', 1, null),
])

describe('Pareto', () => {
  it('ranks differently by count, by minutes and by delay', () => {
    expect(pareto(some, 'count').map(r => r.cause)).toEqual(['link', 'supply', 'cable', 'seal'])
    expect(pareto(some, 'minutes').map(r => r.cause)).toEqual(['supply', 'cable', 'link', 'seal'])
    expect(pareto(some, 'delay')[0]).toMatchObject({ cause: 'cable', amount: 1800, n: 2, known: 2 })
  })

  it('shares sum to one and run up to it', () => {
    const cost = fc.record({
      cause: fc.constantFrom('a', 'b', 'c'),
      minutes: fc.option(fc.nat(500)),
      delayMinutes: fc.option(fc.nat(500)),
    })
    fc.assert(
      fc.property(
        fc.array(cost, { minLength: 1 }),
        fc.constantFrom('count', 'minutes', 'delay'),
        (costs, by) => {
          const rows = pareto(totalsByCause(costs), by as 'count')
          const all = rows.reduce((total, row) => total + row.amount, 0)
          if (all > 0) expect(rows.at(-1)?.running).toBeCloseTo(1, 12)
          expect(rows.map(r => r.amount)).toEqual(rows.map(r => r.amount).toSorted((a, b) => b - a))
        },
      ),
      { seed: 4700 },
    )
  })
})

describe('how often against how long', () => {
  it('tells chronic from acute by the two limits', () => {
    const scatter = logScatter(some)
    expect(scatter?.oftenAbove).toBeCloseTo(44 / 3, 12)
    expect(scatter?.longAbove).toBeCloseTo((300 + 600 + 960) / 44, 12)
    expect(scatter?.points.map(p => [p.cause, p.nature])).toEqual([
      ['link', 'often'],
      ['cable', 'long'],
      ['supply', 'long'],
    ])
    expect(scatter?.unplaced).toEqual(['seal'])
  })

  it('draws arrows for causes seen in both periods', () => {
    const [before, after] = [logScatter(some), logScatter(totalsByCause(faults('link', 5, 20)))]
    expect(before && after && arrows(before, after, 0.5)).toEqual([
      { cause: 'link', from: { n: 15, meanMinutes: 10 }, to: { n: 5, meanMinutes: 20 } },
    ])
  })

  it('is null without any known time', () =>
    expect(logScatter(totalsByCause(faults('x', 3, null)))).toBeNull())
})

describe('no fault found', () => {
  it('comes with its denominator, the unsettled left out', () => {
    const rows = nothingFoundByGroup([
      { group: 'power module', nothingFound: true },
      { group: 'power module', nothingFound: false },
      { group: 'power module', nothingFound: null },
      { group: 'loop', nothingFound: null },
    ])
    expect(rows[0]).toMatchObject({
      group: 'power module',
      nothingFound: 1,
      settled: 2,
      unsettled: 1,
      share: 0.5,
    })
    expect(rows[1]?.share).toBeNull()
    expect(rows[0] && explainNothingFound(rows[0]).words).toBe(
      '50 % of 2 faults (9.4 % to 91 %, 95 % limits)',
    )
    expect(rows[1] && explainNothingFound(rows[1]).value).toBeNull()
  })

  // Newcombe 1998, Statistics in Medicine 17:857–872, table I, method 3 (Wilson): values from memory.
  it.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])('Wilson limits of %d in %d', (k, n, low, high) => {
    expect(wilson(k, n).low).toBeCloseTo(low, 4)
    expect(wilson(k, n).high).toBeCloseTo(high, 4)
  })
})

describe('time split', () => {
  const whole = {
    reported: 0,
    onSite: 40,
    accessGiven: 60,
    causeFound: 90,
    repaired: 120,
    tested: 130,
    handedBack: 135,
  }
  const inMs = (m: Record<string, number | null>) =>
    Object.fromEntries(Object.entries(m).map(([k, v]) => [k, v === null ? null : v * minute])) as typeof whole

  it('gives median and ninetieth percentile of each phase over the faults that have it', () => {
    const split = timeSplit([
      inMs(whole),
      inMs({ ...whole, onSite: 20 }),
      inMs({ ...whole, onSite: null }),
      inMs({ ...whole, tested: 110 }),
    ])
    expect(split[0]).toEqual({
      phase: 'response',
      median: 40,
      ninetieth: expect.closeTo(40, 9),
      n: 3,
      missing: 1,
      endUnsaid: 0,
      impossible: 0,
    })
    expect(split[4]).toMatchObject({ phase: 'test', median: 10, n: 3, impossible: 1 })
    expect(split.at(-1)).toMatchObject({ phase: 'all', median: 135, n: 4 })
  })

  it('is null of nothing', () =>
    expect(timeSplit([])[0]).toMatchObject({ median: null, ninetieth: null, n: 0 }))

  it('counts faults whose file did not say when they were put right apart, and only where that is the end', () => {
    const none = { onSite: null, accessGiven: null, causeFound: null, repaired: null, tested: null }
    const split = timeSplit([
      { reported: 0, ...none, handedBack: null, endUnsaid: true },
      { reported: 0, ...none, handedBack: null },
    ])
    expect(split.map(one => [one.missing, one.endUnsaid])).toEqual([
      ...Array.from({ length: 5 }, () => [2, 0]),
      ...Array.from({ length: 2 }, () => [1, 1]),
    ])
  })

  it('a quantile lies between its neighbours', () => {
    expect(quantile([1, 2, 3, 4], 0.5)).toBe(2.5)
    expect(quantile([7], 0.9)).toBe(7)
  })
})

describe('did it stay away', () => {
  it('says so only when luck is unlikely', () => {
    expect(stayedAway({ faults: 6, serviceDays: 365 }, { faults: 0, serviceDays: 300 }, null).value).toBe(
      'stayed away',
    )
    expect(stayedAway({ faults: 6, serviceDays: 365 }, { faults: 4, serviceDays: 200 }, null).value).toBe(
      'no better',
    )
    const early = stayedAway({ faults: 2, serviceDays: 365 }, { faults: 0, serviceDays: 60 }, null)
    expect(early.value).toBe('too early to say')
    expect(early.words).toMatch(/too early to say; another [\d.]+ years without a fault would tell\.$/)
  })

  it('asks for the days after which the same silence would be sure', () => {
    const before = { faults: 3, serviceDays: 400 }
    const needed = stayedAway(before, { faults: 0, serviceDays: 10 }, null).terms.at(-1)?.value
    expect(stayedAway(before, { faults: 0, serviceDays: Number(needed) + 1 }, null).value).toBe('stayed away')
    expect(stayedAway(before, { faults: 0, serviceDays: Number(needed) - 1 }, null).value).toBe(
      'too early to say',
    )
  })

  it('cannot say without a time before', () =>
    expect(stayedAway({ faults: 0, serviceDays: 0 }, { faults: 0, serviceDays: 9 }, null).value).toBeNull())
})
