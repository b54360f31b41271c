// Published answers for shares of a count, and their limits.
import { describe, expect, it } from 'vitest'
import { explainNothingFound, nothingFoundByGroup, wilson } from '../../server/history/no-fault-found.ts'

// Newcombe 1998, Statistics in Medicine 17:857–872, table I, method 3 (score without continuity correction): value from
// memory for the four cases; computed again with scipy.stats.binomtest(k, n).proportion_ci(method='wilson'), which agrees.
describe('Wilson’s limits of a share', () => {
  it.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])('%d of %d', (k, n, low, high) => {
    expect(wilson(k, n).low).toBeCloseTo(low, 4)
    expect(wilson(k, n).high).toBeCloseTo(high, 4)
  })

  // Computed with scipy.stats.binomtest 1.17.
  it.each([
    [199, 200, 0.95, 0.972226295602107, 0.999116831284399],
    [3, 10, 0.9, 0.126876583903198, 0.558300204130165],
    [20, 20, 0.95, 0.838874841947181, 1],
  ])('%d of %d at confidence %d', (k, n, confidence, low, high) => {
    expect(wilson(k, n, confidence).low).toBeCloseTo(low, 12)
    expect(wilson(k, n, confidence).high).toBeCloseTo(high, 12)
  })

  it('199 of 200 is not shown as all of them', () => {
    const outcomes = Array.from({ length: 200 }, (_, i) => ({ group: 'a', nothingFound: i > 0 }))
    const [row] = nothingFoundByGroup(outcomes)
    expect(row && explainNothingFound(row).words).toBe(
      '99.5 % of 200 faults (97 % to more than 99.9 %, 95 % limits)',
    )
  })
})
