// The order of checks, against published orderings of single-machine scheduling and test sequencing.
//
// With one check a cause, the minutes to the proven cause are Σ p_i · (minutes up to its check), which is the weighted
// completion time of one machine. Rule: descending p/c without constraints (Smith 1956; Mitten 1960; Kadane and Simon
// 1977; Heckerman, Breese and Rommelse, CACM 1995).

import { describe, expect, it } from 'vitest'
import { entropy } from '../../server/diagnosis/ordering/bound.ts'
import { exactOrder } from '../../server/diagnosis/ordering/exact.ts'
import { lookAhead } from '../../server/diagnosis/ordering/look-ahead.ts'
import { type Plan, parted, type Standing } from '../../server/diagnosis/ordering/plan.ts'
import { run } from '../../server/diagnosis/ordering/run.ts'
import { atStart, bruteForce, oneEach, plan } from '../diagnosis/ordering/plans.ts'

function best(of: Plan): { expected: number; order: number[] } {
  const exact = exactOrder(of, atStart(of), 1_000_000)
  if (!exact) throw new Error('too large')
  const followed = run(of, atStart(of), exact.policy, () => -1)
  const last = followed.checks.reduce((long, checks) => (checks.length > long.length ? checks : long), [])
  return { expected: exact.expected, order: last.map(check => check + 1) }
}

const sum = (list: number[]) => list.reduce((all, item) => all + item, 0)

describe('order of checks without constraints', () => {
  // Pinedo, Scheduling, chapter 3, four jobs. Secondary: a worked text that quotes it, recomputed and found to agree.
  it('puts the four jobs in the order 2, 1, 3, 4 with a total of 333', () => {
    const weights = [6, 11, 9, 5]
    const found = best(oneEach(weights, [3, 5, 7, 4]))
    expect(found.order).toEqual([2, 1, 3, 4])
    expect(found.expected * sum(weights)).toBeCloseTo(333, 9)
  })

  // Computed: a second small set, with a tie between D and E.
  it('gives the five jobs a total of 151', () => {
    const weights = [1, 2, 4, 1, 3]
    const found = best(oneEach(weights, [6, 2, 8, 3, 9]))
    expect(found.expected * sum(weights)).toBeCloseTo(151, 9)
    expect(found.order.slice(0, 2)).toEqual([2, 3])
    expect(found.order.at(-1)).toBe(1)
  })
})

describe('order of checks in chains', () => {
  const weights = [6, 18, 12, 8, 8, 17, 18]
  const minutes = [3, 6, 6, 5, 4, 8, 10]
  const chains = [[], [0], [1], [2], [], [4], [5]]

  // Pinedo, Scheduling, lemma 3.1.2 and algorithm 3.1.4, its example. Secondary, recomputed and found to agree.
  it('interleaves the two chains as 1, 2, 5, 6, 3, 7, 4', () => {
    expect(best(oneEach(weights, minutes, chains)).order).toEqual([1, 2, 5, 6, 3, 7, 4])
  })

  // Computed: the total of that order, and of the order without the chains.
  it('costs 1967 with the chains and 1942 without', () => {
    expect(best(oneEach(weights, minutes, chains)).expected * 87).toBeCloseTo(1967, 8)
    const free = best(oneEach(weights, minutes))
    expect(free.expected * 87).toBeCloseTo(1942, 8)
    // Jobs 1, 3 and 5 tie at 2 a minute, so that their order among themselves is free.
    expect(free.order.slice(0, 2)).toEqual([2, 6])
    expect([...free.order.slice(2, 5)].sort()).toEqual([1, 3, 5])
    expect(free.order.slice(5)).toEqual([7, 4])
  })

  // Computed.
  it('is 22.6091954 minutes as an expected cost of repair', () => {
    expect(best(oneEach(weights, minutes, chains)).expected).toBeCloseTo(22.6091954, 7)
  })
})

describe('the binary test tree', () => {
  // Pattipati and Alexandridis, IEEE Trans. SMC 20(4), 1990; Raghavan, Shakeri and Pattipati, SMC-A 29(2), 1999.
  const priors = [0.7, 0.01, 0.02, 0.1, 0.05, 0.12]
  const shows = [
    [0, 0, 0, 0, 0],
    [0, 1, 0, 0, 1],
    [0, 0, 1, 1, 0],
    [1, 0, 0, 1, 1],
    [1, 1, 0, 0, 0],
    [1, 1, 1, 1, 0],
  ]
  const tests = plan({
    minutes: [1, 1, 1, 1, 1],
    hypotheses: shows.map((rows, cause) => ({
      weight: priors[cause] ?? 0,
      cause,
      rows: Int16Array.from(rows),
      proofs: [],
    })),
  })

  // Matrix and optimal cost: value from memory, recomputed and found to agree.
  it('has the optimal expected cost 2.18, beginning with the second test', () => {
    const exact = exactOrder(tests, atStart(tests), 1_000_000)
    expect(exact?.expected).toBeCloseTo(2.18, 12)
    expect(exact?.policy(atStart(tests))).toBe(1)
    expect(bruteForce(tests, tests.hypotheses)).toBeCloseTo(2.18, 12)
  })

  // Computed: the most informative test is the first, and greed that starts with it costs more than the optimum.
  it('is not solved by taking the most informative test first', () => {
    const gains = [0, 1, 2, 3, 4].map(test => {
      const fails = sum(priors.filter((_, state) => shows[state]?.[test] === 1))
      return entropy([fails, 1 - fails])
    })
    const published = [0.841465, 0.680077, 0.584239, 0.79504, 0.499916]
    for (const [test, gain] of gains.entries()) expect(gain).toBeCloseTo(published[test] ?? 0, 6)
    expect(entropy(priors)).toBeCloseTo(1.454873364, 9)
    expect(run(tests, atStart(tests), mostInformative, () => -1).expected).toBeCloseTo(2.86, 12)
    const order = { start: 0, onward: [], rowsFound: new Int32Array(5).fill(-1), planned: null }
    expect(lookAhead(tests, atStart(tests), order).expected).toBeCloseTo(2.18, 12)
  })

  function mostInformative(standing: Standing): number {
    const bits = tests.minutes.map((_, test) => {
      const rows = parted(tests, standing.alive, test)
      const weights = [...rows.values()].map(part =>
        sum(part.map(index => tests.hypotheses[index]?.weight ?? 0)),
      )
      return standing.done[test] ? -1 : entropy(weights.map(weight => weight / sum(weights)))
    })
    return bits.indexOf(Math.max(...bits))
  }
})

describe('information', () => {
  // Quinlan 1986, Mitchell 1997: the play-tennis set, 9 yes and 5 no. Read in source figures .247 .152 .048 .029.
  it('gives the play-tennis gains', () => {
    const of = (...counts: number[]) => entropy(counts.map(count => count / sum(counts)))
    const gain = (parts: number[][]) =>
      of(9, 5) - parts.reduce((all, part) => all + (sum(part) / 14) * of(...part), 0)
    expect(of(9, 5)).toBeCloseTo(0.940286, 6)
    expect(
      gain([
        [2, 3],
        [4, 0],
        [3, 2],
      ]),
    ).toBeCloseTo(0.24674982, 8)
    expect(
      gain([
        [3, 4],
        [6, 1],
      ]),
    ).toBeCloseTo(0.151835501, 8)
    expect(
      gain([
        [6, 2],
        [3, 3],
      ]),
    ).toBeCloseTo(0.04812703, 8)
    expect(
      gain([
        [2, 2],
        [4, 2],
        [3, 1],
      ]),
    ).toBeCloseTo(0.029222566, 8)
  })
})
