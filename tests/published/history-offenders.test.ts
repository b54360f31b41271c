// Published answers for rates, spread between positions and many looks at once.
import padjust from '@stdlib/stats-padjust'
import { describe, expect, it } from 'vitest'
import { adjustForMany, standOut } from '../../server/history/false-discovery.ts'
import { fitKind, posteriorRate } from '../../server/history/positions/kind-fit.ts'
import { rateRatio } from '../../server/history/positions/rate-ratio.ts'
import { gammaQuantile } from '../../server/statistics/chi-square.ts'
import { poissonAtLeast, poissonAtMost, poissonLimits } from '../../server/statistics/poisson.ts'

// Ten pumps: Gaver & O'Muircheartaigh 1987, Technometrics 29:1–15; George, Makov & Smith 1993, Scand. J. Stat. 20:147–156.
describe('ten pumps', () => {
  const failures = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22]
  const thousandHours = [94.32, 15.72, 62.88, 125.76, 5.24, 31.44, 1.048, 1.048, 2.096, 10.48]
  const rounded = [94.3, 15.7, 62.9, 126, 5.24, 31.4, 1.05, 1.05, 2.1, 10.5]

  it('gives the published shape and rate (read in source: NIMBLE manual, chapter on other algorithms)', () => {
    const fit = fitKind(failures, rounded)
    expect(fit?.shape).toBeCloseTo(0.823, 3)
    expect(fit?.rate).toBeCloseTo(1.261, 2)
  })

  it('gives eight digits of the fit (computed)', () => {
    const fit = fitKind(failures, rounded)
    expect(fit?.shape).toBeCloseTo(0.82296509, 7)
    expect(fit?.rate).toBeCloseTo(1.26165331, 7)
    expect(fit?.logLikelihood).toBeCloseTo(-32.2578363, 7)
    const exact = fitKind(failures, thousandHours)
    expect(exact?.shape).toBeCloseTo(0.82226861, 7)
    expect(exact?.rate).toBeCloseTo(1.2589544, 7)
    expect(exact?.logLikelihood).toBeCloseTo(-32.26306705, 7)
  })

  it("gives each pump's rate, drawn towards its kind (computed)", () => {
    const means = [
      0.060934, 0.107476, 0.090755, 0.116476, 0.587999, 0.606919, 0.788598, 0.788598, 1.4347, 1.940456,
    ]
    const fit = fitKind(failures, rounded)
    expect(fit).not.toBeNull()
    if (fit === null) return
    const rates = failures.map((x, i) => posteriorRate(fit, x, rounded[i] ?? 0))
    expect(rates.map(rate => Number(rate.toFixed(6)))).toEqual(means)
  })
})

describe('exact Poisson limits', () => {
  // Read in source: R's poisson.test example, Welsh nickel workers.
  it('137 against 24.19893 expected', () => {
    const limits = poissonLimits(137, 0.95)
    expect(137 / 24.19893).toBeCloseTo(5.661407, 6)
    expect(limits.low / 24.19893).toBeCloseTo(4.753125, 6)
    expect(limits.high / 24.19893).toBeCloseTo(6.692709, 6)
  })

  // Read in source: test output of a statistics package.
  it('15 in 400, and 36 in 20 at 90 %', () => {
    expect(poissonLimits(15, 0.95).low / 400).toBeCloseTo(0.0209884653319583, 13)
    expect(poissonLimits(15, 0.95).high / 400).toBeCloseTo(0.0618505471787146, 13)
    expect(poissonLimits(36, 0.9).low / 20).toBeCloseTo(1.336558, 6)
    expect(poissonLimits(36, 0.9).high / 20).toBeCloseTo(2.377037, 6)
  })

  // Computed; to three decimals the familiar table of Garwood 1936.
  it.each([
    [0, 0, 3.688879],
    [1, 0.025318, 5.571643],
    [2, 0.242209, 7.224688],
    [3, 0.618672, 8.767273],
    [4, 1.089865, 10.241589],
    [5, 1.623486, 11.668332],
    [6, 2.201894, 13.059474],
    [7, 2.814363, 14.422675],
    [8, 3.453832, 15.763189],
    [9, 4.115373, 17.084803],
    [10, 4.795389, 18.390356],
    [12, 6.200575, 20.961585],
    [15, 8.395386, 24.740219],
    [20, 12.21652, 30.888378],
    [25, 16.178682, 36.904932],
    [30, 20.240874, 42.826865],
    [50, 37.110964, 65.918767],
    [100, 81.363991, 121.626794],
  ])('%d events, 95 %%', (k, low, high) => {
    expect(poissonLimits(k, 0.95).low).toBeCloseTo(low, 6)
    expect(poissonLimits(k, 0.95).high).toBeCloseTo(high, 6)
  })

  it.each([
    [0, 0, 2.995732],
    [1, 0.051293, 4.743865],
    [2, 0.355362, 6.295794],
    [5, 1.97015, 10.513035],
    [10, 5.425406, 16.962219],
  ])('%d events, 90 %%', (k, low, high) => {
    expect(poissonLimits(k, 0.9).low).toBeCloseTo(low, 6)
    expect(poissonLimits(k, 0.9).high).toBeCloseTo(high, 6)
  })

  // Read in source: the same package's output for 15 in 400, Jeffreys limits, and the central chance of 15 against 20.
  it('other limits and the two-sided chance stand on the same functions', () => {
    expect(gammaQuantile(0.025, 15.5, 400)).toBeCloseTo(0.0219234232268444, 13)
    expect(gammaQuantile(0.975, 15.5, 400)).toBeCloseTo(0.0602898619930649, 13)
    expect(2 * poissonAtMost(15, 20)).toBeCloseTo(0.313026269279486, 13)
  })

  it('upper tails (computed)', () => {
    expect(poissonAtLeast(3, 0.5)).toBeCloseTo(0.014387678, 10)
    expect(poissonAtLeast(5, 1.2)).toBeCloseTo(0.0077457883, 10)
    expect(poissonAtLeast(6, 2)).toBeCloseTo(0.0165636085, 10)
  })
})

// Benjamini & Hochberg 1995, J. R. Statist. Soc. B 57:289–300, fifteen chances.
describe('fifteen looks at once', () => {
  const chances = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528,
    0.759, 1,
  ]

  it('rejects the four smallest at 5 %, where Bonferroni rejects three (read in source)', () => {
    expect(standOut(chances, p => p, 0.05).map(s => s.row)).toEqual([0.0001, 0.0004, 0.0019, 0.0095])
    expect(chances.filter(p => p <= 0.05 / 15)).toHaveLength(3)
  })

  it('adjusts each as a general library does (computed; also @stdlib/stats-padjust)', () => {
    const expected = [
      0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.0638571429, 0.0638571429, 0.0645, 0.0765, 0.486,
      0.5811818182, 0.714875, 0.7532307692, 0.8132142857, 1,
    ]
    const reference = padjust(chances, 'bh', 15)
    adjustForMany(chances).forEach((p, i) => {
      expect(p).toBeCloseTo(expected[i] ?? 0, 10)
      expect(p).toBeCloseTo(reference[i] ?? 0, 12)
    })
  })
})

// The worked example of the two-rate exact test in R's stats package (poisson.test: cases among two groups of person-years,
// after the ISwR data). Counts and times read in source; its answers are values from memory, and computed (scipy 1.17).
describe('two rates, 11 in 800 against 21 in 3011', () => {
  const found = rateRatio({ faults: 11, days: 800 }, { faults: 6 + 8 + 7, days: 1083 + 1050 + 878 })

  it('differ 1.971488 times, 0.8584264 to 4.2772659 at 95 %', () => {
    expect(found?.ratio).toBeCloseTo(1.971488, 6)
    expect(found?.low).toBeCloseTo(0.8584264, 7)
    expect(found?.high).toBeCloseTo(4.2772659, 7)
  })

  it('by luck so far apart with chance 0.1120: twice the smaller binomial tail, 0.0560 (computed)', () =>
    expect(found?.chance).toBeCloseTo(2 * 0.05600865978769968, 12))
})
