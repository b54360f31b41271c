import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  compareIntervals,
  deadChance,
  deadShare,
  deadShareAt,
  deadShareWords,
  explainDeadShare,
  visitState,
} from '../../../server/history/positions/dead-time.ts'
import { type Look, looksOf, type Sighting } from '../../../server/history/positions/sightings.ts'
import { unseenRate } from '../../../server/history/positions/unseen-rate.ts'
import { seeded } from '../chance.ts'
import { estimateOf, type Standby, standbyRecord } from '../standby.ts'

const day = 86_400_000
const yearDays = 365.25
const always = { fromMs: -Infinity, toMs: Infinity }
const lookAt = (days: number, found: Look['found']): Look => ({ days, found })
const rateOf = (perYear: number) => ({
  perDay: perYear / yearDays,
  low: perYear / 2 / yearDays,
  high: (2 * perYear) / yearDays,
})

describe('time dead between rounds', () => {
  const load = fc.double({ min: 1e-9, max: 50, noNaN: true })

  it('is a share, below half of rate × interval, and rises with the interval', () => {
    fc.assert(
      fc.property(load, x => {
        const share = deadShare(x, 1)
        expect(share).toBeGreaterThan(0)
        expect(share).toBeLessThan(Math.min(1, x / 2 + 1e-15))
        expect(deadShare(x, 2)).toBeGreaterThan(share)
      }),
      { seed: 90 },
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

  it('says what another interval would buy, with the limits that the rate has', () => {
    const [often, seldom] = compareIntervals(rateOf(0.3), [45, 90])
    expect(often?.visitsPerYear).toBeCloseTo(8.117, 3)
    expect((seldom?.deadDaysPerYear ?? 0) / (often?.deadDaysPerYear ?? 1)).toBeCloseTo(2, 1)
    expect(seldom?.low).toBe(deadShare(0.15 / yearDays, 90))
    expect(seldom?.high).toBe(deadShare(0.6 / yearDays, 90))
  })

  it('is rounded up, its lower limit down', () => {
    expect(deadShare(0.3 / yearDays, 90)).toBeCloseTo(0.03607, 5)
    expect(explainDeadShare(rateOf(0.3), 90).words).toBe(
      'Not protecting 3.7 % (1.8 % to 7.1 %) of the time on average, 14 days a year',
    )
  })

  it('with none found dead is a bound and not nothing; dead nearly always is not all of the time', () => {
    expect(explainDeadShare({ perDay: 0, low: 0, high: 0.3 / yearDays }, 90).words).toBe(
      'Not protecting at most 3.7 % of the time on average, 14 days a year (95 % bound)',
    )
    const always = deadShareAt({ perDay: 6, low: 5, high: 20 }, 100)
    expect(deadShareWords(always)).toBe('99.9 % (99.8 % to more than 99.9 %)')
  })

  it('and the chance of standing dead now come from one rate', () => {
    const mean =
      Array.from({ length: 9000 }, (_, i) => deadChance(0.01, (i + 0.5) / 100)).reduce((a, b) => a + b) / 9000
    expect(mean).toBeCloseTo(deadShare(0.01, 90), 8)
  })
})

describe('rounds', () => {
  it('fall due by the interval from when it was last seen healthy', () => {
    expect(visitState(0, 90, 50 * day).state).toBe('not yet')
    expect(visitState(0, 90, 85 * day).state).toBe('due')
    expect(visitState(0, 90, 91 * day)).toMatchObject({ state: 'overdue', dueMs: 90 * day })
  })
})

describe('what was seen', () => {
  const see = (positionId: string, onDay: number, what: Sighting['what']): Sighting => ({
    positionId,
    atMs: onDay * day,
    what,
  })

  it('is a look from each sight of it working to the next sight', () => {
    const looks = looksOf(
      [
        see('a', 10, 'working'),
        see('a', 100, 'working'),
        see('a', 190, 'dead on a round'),
        see('b', 5, 'working'),
      ],
      always,
    )
    expect(looks).toEqual([lookAt(90, 'working'), lookAt(90, 'dead on a round')])
  })

  it('counts no days while it stands dead, nor before it was seen working', () => {
    const dead = [see('a', 0, 'dead on a round'), see('a', 400, 'put right'), see('a', 430, 'working')]
    expect(looksOf(dead, always)).toEqual([lookAt(30, 'working')])
    const twice = [
      ...[see('a', 0, 'working'), see('a', 50, 'dead between rounds'), see('a', 60, 'dead between rounds')],
      ...[see('a', 70, 'put right'), see('a', 80, 'put right'), see('a', 95, 'dead on a round')],
    ]
    expect(looksOf(twice, always)).toEqual([lookAt(50, 'dead between rounds'), lookAt(15, 'dead on a round')])
  })

  it('counts nothing before the first round, while only faults are on record', () => {
    const faultsOnly = [
      see('a', 0, 'dead between rounds'),
      see('a', 1, 'put right'),
      see('a', 60, 'dead between rounds'),
    ]
    const then = [see('a', 61, 'put right'), see('a', 90, 'working'), see('a', 180, 'dead on a round')]
    expect(looksOf([...faultsOnly, ...then], always)).toEqual([lookAt(90, 'dead on a round')])
  })

  it('is taken from looks that begin and end in the window', () => {
    const all = [0, 90, 180, 270, 360].map(onDay => see('a', onDay, 'working'))
    expect(looksOf(all, { fromMs: 80 * day, toMs: 300 * day })).toEqual([
      lookAt(90, 'working'),
      lookAt(90, 'working'),
    ])
  })
})

describe('the rate of unseen failures', () => {
  it('is found from what looks find', () => {
    const random = seeded(4)
    const looks = Array.from({ length: 5000 }, () => {
      const days = 60 + random.below(60)
      return lookAt(days, random.exponential(700) < days ? 'dead on a round' : 'working')
    })
    const rate = unseenRate(looks).value
    expect(rate?.low).toBeLessThan(1 / 700)
    expect(rate?.high).toBeGreaterThan(1 / 700)
    expect(rate?.perDay).toBeCloseTo(1 / 700, 3)
  })

  it('at equal intervals is −ln(1 − share found dead) / interval', () => {
    const looks = Array.from({ length: 10 }, (_, i) => lookAt(90, i < 3 ? 'dead on a round' : 'working'))
    expect(unseenRate(looks).value?.perDay).toBeCloseTo(-Math.log(0.7) / 90, 12)
  })

  it('has an upper bound with none found, and cannot be told without looks or when all were dead', () => {
    expect(unseenRate([lookAt(100, 'working'), lookAt(100, 'working')])).toMatchObject({
      value: { perDay: 0, low: 0, high: expect.closeTo(2.995732 / 200, 7) },
      words: 'None was found dead in 2 looks: at most 5.5 failures a year (95 % bound)',
    })
    expect(unseenRate([]).value).toBeNull()
    expect(unseenRate([lookAt(100, 'dead on a round')]).value).toBeNull()
  })

  // Truths of the simulation by the closed form: 1 − (1 − e^−x)/x with x = rate × interval.
  it.each([
    [2, 180, 0.364],
    [1, 180, 0.21],
    [1, 365, 0.368],
  ])('%d a year and a round every %d days: dead %d of the time', (perYear, intervalDays, truth) => {
    const standby = { failuresPerDay: perYear / yearDays, intervalDays, positions: 400, rounds: 8 }
    const record = standbyRecord(1, standby)
    expect(deadShare(standby.failuresPerDay, intervalDays)).toBeCloseTo(truth, 2)
    expect(Math.abs(record.deadShare - truth)).toBeLessThan(0.02)
    const { share, low, high } = estimateOf(record, intervalDays)
    expect(Math.abs(share - truth)).toBeLessThan(0.02)
    expect(low).toBeLessThan(truth)
    expect(high).toBeGreaterThan(truth)
    // Faults ÷ days in service, which takes the time dead for time in service, is further off than all its limits.
    const faults = record.faultsAt.reduce((sum, own) => sum + own.length, 0)
    expect(deadShare(faults / (400 * record.watchedDays), intervalDays)).toBeLessThan(low)
  })

  it('has limits that hold the truth about as often as they say', () => {
    const standby: Standby = { failuresPerDay: 0.5 / yearDays, intervalDays: 90, positions: 30, rounds: 8 }
    const truth = deadShare(standby.failuresPerDay, 90)
    const held = Array.from({ length: 400 }, (_, seed) =>
      estimateOf(standbyRecord(seed, standby), 90),
    ).filter(({ low, high }) => low <= truth && truth <= high)
    // 95 % of 400, and three standard deviations of a count of 400 either way.
    expect(held.length / 400).toBeGreaterThan(0.95 - 0.033)
    expect(held.length / 400).toBeLessThan(0.95 + 0.033)
  })

  it('is on the high side where faults are found between rounds', () => {
    for (const noticedPerDay of [1 / 1000, 1 / 100, 1 / 10]) {
      const standby = {
        failuresPerDay: 1 / yearDays,
        intervalDays: 90,
        positions: 400,
        rounds: 8,
        noticedPerDay,
      }
      const record = standbyRecord(3, standby)
      const { value } = unseenRate(looksOf(record.sightings, always))
      expect(value?.high).toBeGreaterThan(standby.failuresPerDay)
      expect(value?.perDay).toBeLessThan(1.3 * standby.failuresPerDay)
      expect(estimateOf(record, 90).share).toBeGreaterThan(record.deadShare - 0.01)
    }
  })
})
