// Published answers, and those of a general library, for what the review says of counts, rates and readings. "Computed"
// without more: with scipy 1.17, the function named beside it.
import binomialCdf from '@stdlib/stats-base-dists-binomial-cdf'
import { describe, expect, it } from 'vitest'
import { calibration } from '../../server/diagnosis/judging/scores.ts'
import { logEvidence, ownMixLogFactor } from '../../server/diagnosis/ranking/condition-test.ts'
import { conditionMatters } from '../../server/diagnosis/ranking/strengths.ts'
import type { Explained } from '../../server/history/explained.ts'
import { failingTogether } from '../../server/history/positions/common-cause.ts'
import { dispersion, funnelLimit } from '../../server/history/positions/funnel.ts'
import { chanceWorse, type KindFit, posteriorLimits } from '../../server/history/positions/kind-fit.ts'
import { stayedAway } from '../../server/history/positions/stayed-away.ts'
import { driftOf } from '../../server/history/readings/drift.ts'
import { lastDigits, pileUp } from '../../server/history/readings/reading-habits.ts'
import { likeliestStep } from '../../server/history/readings/steps.ts'
import { explainAfterWork } from '../../server/history/time/after-work.ts'
import { sliceRates, slicesDiffer } from '../../server/history/time/weather.ts'
import { assessUnits } from '../../server/history/units/carried-faults.ts'
import type { Stay } from '../../server/history/units/swaps.ts'
import { acResistanceRatio, skinDepth } from '../../server/measurement/electrics/high-frequency.ts'
import { average } from '../../server/measurement/readings/corrections.ts'
import { epaSulfate } from './history-lines.ts'

const day = 86_400_000

function termOf(explained: Explained<unknown>, name: string): number {
  return Number(explained.terms.find(term => term.name === name)?.value)
}

function fitOf(shape: number, rate: number): KindFit {
  const mean = shape / rate
  return {
    ...{ shape, rate, mean, logLikelihood: 0, positions: 10, faults: 75, exposure: 360 },
    spread: 'seen',
  }
}

describe('several readings', () => {
  // Student 1908, Biometrika 6:1–25, additional hours of sleep, ten differences: mean 1.58, 95 % limits 0.7001142 to
  // 2.4598858 as R's t.test prints them (sleep data, paired). Values from memory, and computed (t.interval).
  it('mean and t of ten', () => {
    const differences = [1.2, 2.4, 1.3, 1.3, 0, 1, 1.8, 0.8, 4.6, 1.4]
    const found = average(differences.map(value => ({ kind: 'value', value, resolution: 0.1, unit: 'V DC' })))
    expect(found.reading.value).toBeCloseTo(1.58, 12)
    expect(found.deviation).toBeCloseTo(1.229995, 6)
    expect(found.within).toBeCloseTo((2.4598858 - 0.7001142) / 2, 7)
  })
})

describe('resistance of a round wire to high frequency', () => {
  // Rosa & Grover 1912, Bulletin of the Bureau of Standards 8:1–237; x = √2 radius ÷ depth. Values from memory.
  it.each([
    [1, 1.00519],
    [2, 1.07816],
    [3, 1.31809],
    [4, 1.67787],
    [5, 2.04272],
    [10, 3.79857],
  ])('at x = %d', (x, published) => {
    const radius = (x * skinDepth(65_000)) / Math.SQRT2
    expect(acResistanceRatio(Math.PI * radius ** 2, 65_000)).toBeCloseTo(published, 4)
  })
})

// The example of calibration_curve in the documentation of a general library (scikit-learn). Value from memory, recomputed.
it('calibration bins', () => {
  const said = [0.1, 0.2, 0.3, 0.4, 0.65, 0.7, 0.8, 0.9, 1]
  const forecasts = said.map((chance, i) => ({ chances: [chance], happened: i < 4 ? -1 : 0 }))
  const bins = calibration(forecasts, 3)
  expect(bins.map(bin => bin.observed)).toEqual([0, 0.5, 1])
  expect(bins.map(bin => Number(bin.predicted?.toFixed(12)))).toEqual([0.2, 0.525, 0.85])
  expect(bins.map(bin => bin.n)).toEqual([3, 2, 4])
})

describe('stayed away', () => {
  // Computed: nbinom.cdf(faults, shape + before, t / (t + days)).
  it.each([
    [4, 365, 0, 365, null, 0.04419417382415922],
    [6, 700, 1, 900, fitOf(2, 500), 0.05034533839812633],
    [5, 3000, 0, 800, fitOf(0.823, 1261), 0.3671786929151421],
  ] as const)('%d in %d days before, %d in %d since', (before, days, after, since, fit, chance) => {
    const found = stayedAway(
      { faults: before, serviceDays: days },
      { faults: after, serviceDays: since },
      fit,
    )
    expect(termOf(found, 'chance')).toBeCloseTo(chance, 12)
  })

  // With no kind to lean on and one fault more than a half, it is the binomial: two spells alike, all on one side.
  it('equal spells', () => {
    const found = stayedAway({ faults: 3, serviceDays: 90 }, { faults: 0, serviceDays: 90 }, fitOf(1, 1e-9))
    expect(termOf(found, 'chance')).toBeCloseTo(1 / 16, 9)
  })
})

// Ten pumps (history-offenders.test.ts), the published fit. Computed: gamma.ppf and gamma.sf.
describe('likely rate of one pump, drawn towards its kind', () => {
  it.each([
    [5, 94.3, 0.021941519281083798, 0.11948948584639033, 0],
    [22, 10.5, 1.2276631830063192, 2.8137902563111648, 0.9561069598501494],
    [1, 1.05, 0.08201387453487866, 2.2759265551027124, 0.16344854549758245],
  ])('%d failures in %d thousand hours', (failures, hours, low, high, twice) => {
    const fit = fitOf(0.82296509, 1.26165331)
    expect(posteriorLimits(fit, failures, hours).low).toBeCloseTo(low, 11)
    expect(posteriorLimits(fit, failures, hours).high).toBeCloseTo(high, 11)
    expect(chanceWorse(fit, failures, hours)).toBeCloseTo(twice, 11)
  })
})

describe('spread among positions', () => {
  const exposed = (counts: readonly number[], days: readonly number[]) =>
    counts.map((faults, i) => ({ id: `p${i}`, kind: 'k', faults, serviceDays: days[i] ?? 1 }))

  // Bortkiewicz 1898: 200 corps-years with 0, 1, 2, 3 and 4 deaths by horse kick; mean 0.61, variance 0.611, the usual
  // example of no more spread than luck gives. Chi-square 199.31 on 199 degrees (computed).
  it('horse kicks', () => {
    const deaths = [109, 65, 22, 3, 1].flatMap((times, k) => new Array<number>(times).fill(k))
    const found = dispersion(exposed(deaths, new Array(200).fill(1)), 0.61)
    expect(found.value).toBeCloseTo(0.611 / 0.61, 3)
    expect(termOf(found, 'chi-square')).toBeCloseTo(199.3114754098, 9)
  })

  it('ten pumps (computed: chisquare)', () => {
    const hours = [94.32, 15.72, 62.88, 125.76, 5.24, 31.44, 1.048, 1.048, 2.096, 10.48]
    const failures = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22]
    const found = dispersion(exposed(failures, hours), 75 / hours.reduce((a, b) => a + b))
    expect(termOf(found, 'chi-square')).toBeCloseTo(257.34237037037036, 9)
    expect(termOf(found, 'chance') / 2.8069590820606873e-50).toBeCloseTo(1, 9)
  })

  // Spiegelhalter 2005, Statistics in Medicine 24:1185–1202, appendix: r − (P(R ≤ r) − p) / P(R = r). Computed: poisson.
  it.each([
    [0.5, 0, 0, 1.8600259114609996, 3.4758589809003664],
    [2, 0, 0, 4.766236361715189, 7.112559245995805],
    [10, 1.2205293158961341, 3.775187947688401, 16.15995067334478, 20.66200083599499],
  ])('funnel limits where %d are expected', (mean, low998, low95, high95, high998) => {
    const limit = funnelLimit(mean / 700, 700)
    const counts = [limit.low998, limit.low95, limit.high95, limit.high998].map(perDay => 700 * perDay)
    for (const [i, expected] of [low998, low95, high95, high998].entries())
      expect(counts[i]).toBeCloseTo(expected, 10)
  })
})

describe('slices of the time', () => {
  // Mendel 1866, 556 peas against 9 : 3 : 3 : 1, chi-square 0.470 on three degrees (Fisher 1936). From memory, recomputed.
  it('Mendel’s peas', () => {
    const peas = [315, 101, 108, 32].map((faults, i) => ({
      label: `${i}`,
      faults,
      serviceDays: [9, 3, 3, 1][i] ?? 0,
    }))
    const found = slicesDiffer(peas)
    expect(termOf(found, 'chi-square')).toBeCloseTo(0.47, 3)
    expect(termOf(found, 'chance')).toBeCloseTo(0.925, 3)
    expect(found.value).toBe(false)
  })

  it('four seasons (computed: chisquare, and chi2.ppf for the limits)', () => {
    const days = [1000, 900, 950, 800]
    const seasons = [40, 20, 33, 27].map((faults, i) => ({
      label: `${i}`,
      faults,
      serviceDays: days[i] ?? 0,
    }))
    expect(termOf(slicesDiffer(seasons), 'chi-square')).toBeCloseTo(4.769477948343078, 11)
    expect(termOf(slicesDiffer(seasons), 'chance')).toBeCloseTo(0.18947654342616094, 11)
    const [first, second] = sliceRates(seasons)
    expect([first?.ratio, first?.low, first?.high]).toEqual(
      [1.2166666666666666, 0.869204504271081, 1.6567546784878484].map(v => expect.closeTo(v, 11)),
    )
    expect([second?.ratio, second?.low, second?.high]).toEqual(
      [0.6759259259259259, 0.4128731156178185, 1.043912771710762].map(v => expect.closeTo(v, 11)),
    )
  })
})

it('soon after work: 12 of 30 in 100 of 1900 days (computed: binomtest, greater)', () => {
  const found = explainAfterWork({ faults: 12, days: 100 }, { faults: 30, days: 1900 })
  expect((found.value ?? 0) / 1.5983858695620524e-8).toBeCloseTo(1, 9)
  expect(termOf(found, 'expected')).toBeCloseTo(1, 12)
})

// Two points at random in a stretch lie within a share w of it with chance 1 − (1 − w)² (geometric probability,
// in any textbook). 26 pairs at w = 1/730. Computed: poisson.sf(2, that many).
it('failing together: 3, 2 and 4 faults in 730 days, three links', () => {
  const at = (positionId: string, days: number[]) =>
    days.map(onDay => ({ id: `${positionId}${onDay}`, positionId, atMs: onDay * day }))
  const faults = [...at('A', [10, 100, 200]), ...at('B', [10.5, 100.5]), ...at('C', [200.5, 300, 400, 500])]
  const [found] = failingTogether(faults, [{ name: 'a supply', positionIds: ['A', 'B', 'C'] }], 730 * day)
  expect(found?.links).toBe(3)
  expect(found?.expected).toBeCloseTo(0.07118408707074499, 12)
  expect(found?.chance).toBeCloseTo(5.699710423179221e-5, 14)
})

describe('readings', () => {
  const readings = (values: readonly number[]) =>
    values.map((value, i) => ({ atMs: i * 30 * day, value, min: null, max: null }))

  // Computed: ttest_ind with equal variances, t = 7.668116 on six degrees, p = 0.00025719781682517; three places to step.
  it('a step', () => {
    const step = likeliestStep(readings([10.1, 9.9, 10.2, 10, 10.9, 10.6, 10.8, 10.7]))
    expect(step?.n).toEqual([4, 4])
    expect(step?.chance).toBeCloseTo(3 * 0.00025719781682517057, 12)
  })

  // The first thousand decimals of π have the ten digits this often: chi-square 4.74 on nine degrees, chance 0.856
  // (counts published many times; computed: chisquare).
  it('last digits', () => {
    const counts = [93, 116, 103, 102, 93, 97, 94, 95, 101, 106]
    const digits = counts.flatMap((times, digit) =>
      Array.from({ length: times }, (_, i) => ({ value: 10 * i + digit, resolution: 1 })),
    )
    const found = lastDigits(digits)
    expect(found.value?.counts).toEqual(counts)
    expect(termOf(found, 'chi-square')).toBeCloseTo(4.74, 12)
    expect(found.value?.chance).toBeCloseTo(0.856, 3)
  })

  // Computed: norm.cdf for the share of the middle strip, binom.sf(14, 30, that share). Quartiles of 0 … 100 lie 50
  // apart, so that the spread is 50 / 1.3489795 counts.
  it('pile-up', () => {
    const values = Array.from({ length: 101 }, (_, i) => i)
    const found = pileUp(values, { value: 79, side: 'max' }, 1)
    const width = (5 * 1.3489795003921634) / 50
    expect(width).toBeCloseTo(0.13489795, 8)
    expect(found.value).toMatchObject({ furtherInside: 5, justInside: 5, outside: 5 })
    expect(found.value?.chance).toBeCloseTo(0.6024149712510993, 10)
  })

  // Sulfate of US EPA 2009, example 17-6, and a limit of 700: the earlier and the later of Fieller's limits (computed) and
  // of those by Gilbert's published slopes 20 and 35.71182 through the medians 92.6 and 560.
  it('the date of crossing a limit holds both fits', () => {
    const fromMs = Date.UTC(1989, 0, 1)
    const yearMs = 365.25 * day
    const series = epaSulfate.x.map((year, i) => ({
      atMs: fromMs + (year - 89) * yearMs,
      value: epaSulfate.y[i] ?? null,
      min: null,
      max: 700,
    }))
    const { crosses } = driftOf(series, [])
    const year = (ms: number | undefined) => 89 + ((ms ?? 0) - fromMs) / yearMs
    expect(year(crosses.value?.atMs)).toBeCloseTo(97.85, 3)
    expect(year(crosses.value?.earliestMs)).toBeCloseTo(96.0624436507, 3)
    expect(year(crosses.value?.latestMs)).toBeCloseTo(99.6, 3)
  })
})

it('a unit that carries its fault: exact binomial given the kind’s total (general library)', () => {
  const stay = (unitId: string, positionId: string, from: number, to: number | null): Stay => ({
    ...{ unitId, positionId, kind: 'module', place: 'loops', workshop: null },
    ...{
      fittedMs: from * day,
      removedMs: to === null ? null : to * day,
      removedFor: to === null ? null : 'dead',
    },
  })
  const others = Array.from({ length: 20 }, (_, i) => stay(`G${i}`, `Q${i}`, 0, i === 0 ? 900 : null))
  const own = [stay('R', 'A', 0, 40), stay('R', 'B', 100, 150), stay('R', 'C', 300, 310)]
  const found = assessUnits([...others, ...own], { asAtMs: 1000 * day }).find(record => record.id === 'R')
  const share = 100 / (19 * 1000 + 900 + 100)
  expect(found?.fittedDays).toBe(100)
  expect(found?.compared.byLuck).toBeCloseTo(1 - binomialCdf(2, 4, share), 12)
  expect(found?.compared.expected).toBeCloseTo(100 / 19_900, 12)
})

describe('a condition with its own mix', () => {
  const mix = new Map([
    ['a', 0.5],
    ['b', 0.3],
    ['c', 0.2],
  ])
  const counts = (a: number, b: number, c: number) => new Map(Object.entries({ a, b, c }))

  // Computed: dirichlet_multinomial.logpmf less the logarithm of the orders, 13! / (10! 2! 1!).
  it('evidence and Bayes factor', () => {
    expect(logEvidence(counts(10, 2, 1), mix, 20)).toBeCloseTo(-3.8014504829062865 - 6.754604099487962, 10)
    expect(ownMixLogFactor(counts(10, 2, 1), counts(5, 9, 6), mix, 20)).toBeCloseTo(1.7962892283314318, 10)
  })

  // Jeffreys 1961, Theory of Probability, 3rd ed., appendix B: strong from ten on. Value from memory.
  it('matters from strong evidence on', () => expect(conditionMatters).toBe(10))
})
