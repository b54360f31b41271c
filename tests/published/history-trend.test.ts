// Published answers for trend, growth, mean time between faults and the mean cumulative function.
import { describe, expect, it } from 'vitest'
import { reversalChances, reversalChancesWithTies } from '../../server/history/readings/reversals.ts'
import { type History, meanCumulative } from '../../server/history/time/cumulative.ts'
import { meanTimeBetween, meanTimeFactors } from '../../server/history/time/mean-time-between.ts'
import {
  laplace,
  militaryHandbook,
  pooledTrend,
  reverseArrangement,
} from '../../server/history/time/trend-tests.ts'
import { valveSeats } from './history-valve-seats.ts'

// NIST/SEMATECH e-Handbook 8.4.5.1; the example's figures are values from memory, its formula read in source.
describe('mean time between failures, 800 h and 2 failures', () => {
  it('is 400, between 127 and 2251 at 90 %', () => {
    const value = meanTimeBetween(2, 800, null, 0.9).value
    expect(value?.days).toBe(400)
    expect(value?.low).toBeCloseTo(127.06896827, 7)
    expect(value?.high).toBeCloseTo(2251.22861063, 6)
  })

  // Computed, and the familiar table of the handbook to four decimals: failures, confidence, low, high.
  it.each([
    [1, 0.6, 0.334, 4.4814],
    [1, 0.8, 0.2571, 9.4912],
    [1, 0.9, 0.2108, 19.4957],
    [1, 0.95, 0.1795, 39.4979],
    [2, 0.6, 0.4674, 2.426],
    [2, 0.8, 0.3758, 3.7607],
    [2, 0.9, 0.3177, 5.6281],
    [2, 0.95, 0.2768, 8.2573],
    [3, 0.6, 0.544, 1.9543],
    [3, 0.8, 0.449, 2.7222],
    [3, 0.9, 0.3869, 3.6689],
    [3, 0.95, 0.3422, 4.8491],
    [4, 0.6, 0.5952, 1.7416],
    [4, 0.8, 0.5004, 2.2926],
    [4, 0.9, 0.437, 2.9276],
    [4, 0.95, 0.3906, 3.6702],
    [5, 0.6, 0.6324, 1.6184],
    [5, 0.8, 0.5391, 2.0554],
    [5, 0.9, 0.4756, 2.5379],
    [5, 0.95, 0.4285, 3.0798],
    [10, 0.6, 0.7326, 1.3719],
    [10, 0.8, 0.6491, 1.6074],
    [10, 0.9, 0.5895, 1.8432],
    [10, 0.95, 0.5438, 2.0853],
    [20, 0.6, 0.8088, 1.2367],
    [20, 0.8, 0.7395, 1.3769],
    [20, 0.9, 0.6882, 1.5089],
    [20, 0.95, 0.6475, 1.6371],
    [50, 0.6, 0.8788, 1.1371],
    [50, 0.8, 0.8286, 1.2142],
    [50, 0.9, 0.7901, 1.2832],
    [50, 0.95, 0.7585, 1.3473],
  ])('factors for %d failures at %d', (failures, confidence, low, high) => {
    const factors = meanTimeFactors(failures, confidence)
    expect(factors.low).toBeCloseTo(low, 4)
    expect(factors.high).toBeCloseTo(high, 4)
  })

  it('has a lower bound only at zero failures (computed)', () => {
    expect(meanTimeBetween(0, 1, null, 0.9).value).toEqual({
      days: null,
      low: expect.closeTo(1 / Math.LN10, 8),
      high: null,
    })
    expect(meanTimeBetween(0, 1, null, 0.95).value?.low).toBeCloseTo(0.3338082, 7)
  })
})

// Computed in whole numbers (Python): the rising pairs of a list with equal values have the Gaussian multinomial
// [n]! / ∏ [size]! for their generating function (Stanley 2012, Enumerative Combinatorics 1, 2nd ed., prop. 1.7.1).
describe('rising pairs where values are equal', () => {
  it.each([
    [[2, 2, 2, 1], 4, 0.08412698412698413, 0.9571428571428572],
    [[5, 4, 3, 2, 1], 25, 0.040088747231604376, 0.9684062498348213],
    [[10, 8, 6, 5, 1], 100, 0.0053102413672198, 0.99526251083982],
  ])('groups of %j, %d pairs', (sizes, pairs, atMost, atLeast) => {
    const chances = reversalChancesWithTies(sizes, pairs)
    expect(chances.atMost).toBeCloseTo(atMost, 13)
    expect(chances.atLeast).toBeCloseTo(atLeast, 13)
  })

  it('beyond sixty values by the normal curve, to three decimals', () => {
    const chances = reversalChancesWithTies([30, 20, 20, 10], 1000)
    expect(chances.atMost).toBeCloseTo(0.09691201908920295, 3)
    expect(chances.atLeast).toBeCloseTo(0.904577049017088, 3)
  })
})

describe('the handbook case of ten failures in 1500 h', () => {
  const times = [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478]

  // e-Handbook 8.2.3.4: values from memory; the chances computed.
  it('33 reversals of 45, chi-square 37.23 on 20 degrees: improving', () => {
    const reversals = reverseArrangement(times)
    expect(reversals?.statistic).toBe(33)
    // Two gaps are equal; with all gaps different the chance would be 0.0362750772.
    expect(reversals?.better).toBeCloseTo(0.0286838624, 9)
    expect(reversalChances(10, 33).atLeast).toBeCloseTo(0.0362750772, 9)
    const handbook = militaryHandbook(times, { by: 'time', at: 1500 })
    expect(handbook?.statistic).toBeCloseTo(37.2280814835, 9)
    expect(handbook?.n).toBe(10)
    expect(handbook?.better).toBeCloseTo(0.0109863571, 9)
    const u = laplace(times, { by: 'time', at: 1500 })
    expect(u?.statistic).toBeCloseTo(-1.3269491826, 9)
    expect(u?.better).toBeCloseTo(0.0922627, 7)
  })

  it('ended by a failure, the last one only marks the end (formula read in source, figures computed here)', () => {
    const handbook = militaryHandbook(times, { by: 'fault' })
    const sum = times.slice(0, -1).reduce((total, t) => total + Math.log(1478 / t), 0)
    expect(handbook?.n).toBe(9)
    expect(handbook?.statistic).toBeCloseTo(2 * sum, 10)
  })
})

// Crow, AMSAA TR-138 (1975): data read in source, answers from memory to three digits, the rest computed.
it('three systems to 200 h', () => {
  const end = 200
  const systems = [
    [4.3, 4.4, 10.2, 23.5, 23.8, 26.4, 74, 77.1, 92.1, 197.2],
    [0.1, 5.6, 18.6, 19.5, 24.2, 26.7, 45.1, 45.8, 75.7, 79.7, 98.6, 120.1, 161.8, 180.6, 190.8],
    [8.4, 32.5, 44.7, 48.4, 50.6, 73.6, 98.7, 112.2, 129.8, 136, 195.8],
  ].map(times => ({ times, end, ending: { by: 'time', at: end } as const }))
  const pooled = pooledTrend(systems)
  expect(pooled.militaryHandbook?.statistic).toBeCloseTo(117.0091957, 7)
  expect(pooled.militaryHandbook?.n).toBe(36)
  expect(pooled.militaryHandbook?.better).toBeCloseTo(6.346e-4, 7)
  expect(pooled.laplace?.statistic).toBeCloseTo(-3.0120363544, 9)
  const singles = systems.map(s => laplace(s.times, s.ending)?.statistic)
  expect(singles[0]).toBeCloseTo(-2.5578643, 7)
  expect(singles[1]).toBeCloseTo(-1.8206065, 7)
  expect(singles[2]).toBeCloseTo(-0.8841404, 7)
})

describe('mean cumulative function', () => {
  // Read in source: documentation of a reliability package, after a wiki example. The last time ends the watching.
  it('five systems', () => {
    const lives = [
      [5, 10, 15, 17],
      [6, 13, 17, 19],
      [12, 20, 25, 26],
      [13, 15, 24],
      [16, 22, 25, 28],
    ]
    const group: History[] = lives.map(life => ({ events: life.slice(0, -1), end: life.at(-1) ?? 0 }))
    const points = meanCumulative(group, 0.9, 'step')
    const rounded = points.map(p => [p.at, Number(p.mean.toFixed(6)), Number(p.variance.toFixed(6))])
    expect(rounded).toEqual([
      [5, 0.2, 0.032],
      [6, 0.4, 0.064],
      [10, 0.6, 0.096],
      [12, 0.8, 0.128],
      [13, 1, 0.16],
      [13, 1.2, 0.192],
      [15, 1.4, 0.224],
      [15, 1.6, 0.256],
      [16, 1.8, 0.288],
      [17, 2, 0.32],
      [20, 2.333333, 0.394074],
      [22, 2.666667, 0.468148],
      [25, 3.166667, 0.593148],
      [25, 3.666667, 0.718148],
    ])
    const limits = new Map(points.map(p => [p.mean.toFixed(3), [p.low, p.high]]))
    const published: [string, number, number][] = [
      ['0.200', 0.0459299, 0.870893],
      ['0.400', 0.14134, 1.13202],
      ['0.600', 0.256603, 1.40294],
      ['2.000', 1.25598, 3.18478],
      ['3.667', 2.5071, 5.36255],
    ]
    for (const [mean, low, high] of published) {
      expect(limits.get(mean)?.[0]).toBeCloseTo(low, 5)
      expect(limits.get(mean)?.[1]).toBeCloseTo(high, 5)
    }
  })

  // Nelson 1995, Technometrics 37:147–157: 41 engines, 48 valve-seat replacements, read in source to three decimals.
  it('valve seats', () => {
    const points = meanCumulative(valveSeats)
    const at = (day: number) => points.findLast(p => p.at === day)
    const published: [number, number][] = [
      [61, 0.024],
      [76, 0.049],
      [84, 0.073],
      [87, 0.098],
      [92, 0.122],
      [98, 0.146],
      [120, 0.171],
      [139, 0.22],
      [165, 0.244],
      [202, 0.293],
      [249, 0.341],
      [298, 0.463],
      [348, 0.585],
      [377, 0.659],
      [404, 0.684],
      [479, 0.784],
      [573, 0.959],
      [581, 0.985],
      [586, 1.014],
      [604, 1.06],
      [621, 1.119],
      [635, 1.181],
      [640, 1.244],
      [646, 1.32],
      [653, 1.543],
    ]
    for (const [day, mean] of published) expect(at(day)?.mean).toBeCloseTo(mean, 3)
    expect(Math.sqrt(at(61)?.variance ?? 0)).toBeCloseTo(0.024, 3)
    expect(Math.sqrt(at(653)?.variance ?? 0)).toBeCloseTo(0.312, 3)
    const risk = [377, 404, 581, 586, 604, 621, 635, 646, 653].map(day => at(day)?.atRisk)
    expect(risk).toEqual([41, 40, 38, 34, 22, 17, 16, 13, 9])
  })
})
