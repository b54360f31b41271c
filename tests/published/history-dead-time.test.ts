// Published answers for failures that nobody sees between rounds.
import { describe, expect, it } from 'vitest'
import { deadChance, deadShare } from '../../server/history/positions/dead-time.ts'
import type { Look } from '../../server/history/positions/sightings.ts'
import { unseenRate } from '../../server/history/positions/unseen-rate.ts'

describe('mean share of the time dead (computed; at 1 it is 1/e)', () => {
  it.each([
    [0.001, 0.000499833375],
    [0.01, 0.004983374917],
    [0.1, 0.04837418036],
    [0.2, 0.09365376539],
    [0.5, 0.213061319425],
    [1, 1 / Math.E],
  ])('rate × interval %d', (x, share) => {
    expect(deadShare(x / 90, 90)).toBeCloseTo(share, 11)
  })
})

// IEC 61508-6:2010, annex B, tables B.2 to B.4, one channel without diagnostics, the interval and the rate in hours; read
// in source, two significant digits. It is the linear form with eight hours of repair, so only where λτ is small.
describe('the standard’s average probability of failure on demand', () => {
  it.each([
    [4380, 5e-8, 1.1e-4],
    [4380, 2.5e-7, 5.5e-4],
    [4380, 2.5e-6, 5.5e-3],
    [8760, 5e-8, 2.2e-4],
    [8760, 2.5e-7, 1.1e-3],
    [8760, 2.5e-6, 1.1e-2],
    [17520, 5e-8, 4.4e-4],
    [17520, 2.5e-7, 2.2e-3],
  ])('a test every %d hours at %d an hour', (hours, perHour, published) => {
    const share = deadShare(24 * perHour, hours / 24) + 8 * perHour
    expect(Number(share.toPrecision(2))).toBe(published)
  })
})

describe('chance of standing dead since it was last seen working', () => {
  // 1 − e^−x: Abramowitz & Stegun, table 4.4, e^−x for 0.1, 0.5 and 1.
  it.each([
    [0.1, 1 - 0.904837418036],
    [0.5, 1 - 0.606530659713],
    [1, 1 - 0.367879441171],
  ])('at rate × days %d', (x, chance) => expect(deadChance(x / 40, 40)).toBeCloseTo(chance, 11))
})

describe('the rate from looks', () => {
  const looks = (dead: [number, number][], working: [number, number][]): Look[] => [
    ...dead.flatMap(([n, days]) =>
      Array.from({ length: n }, () => ({ days, found: 'dead on a round' as const })),
    ),
    ...working.flatMap(([n, days]) => Array.from({ length: n }, () => ({ days, found: 'working' as const }))),
  ]

  // At equal intervals the likeliest rate of single hits of a dilution assay (Fisher 1922, Phil. Trans. A 222:309–368):
  // −ln(share without a hit) / dose. 5 of 20 at 1, and no growth at 0: 0.287682072452 = ln(4/3).
  it('5 of 20 dead at equal intervals', () => {
    expect(unseenRate(looks([[5, 1]], [[15, 1]])).value?.perDay).toBeCloseTo(0.287682072452, 11)
  })

  // Most probable number of a dilution series, 3 tubes each of 10, 1 and 0.1 ml; the tubes' volumes stand for days and
  // growth for being dead: the same likelihood. US FDA, Bacteriological Analytical Manual, appendix 2, table 1 (amounts
  // of 0.1, 0.01 and 0.001 g): MPN per g, printed to two digits; value from memory, and computed.
  it.each([
    [[3, 1, 0], 43],
    [[2, 1, 1], 20],
    [[1, 0, 0], 3.6],
    [[3, 3, 2], 1100],
  ] as const)('most probable number of %j', (growth, mpn) => {
    const amounts = [0.1, 0.01, 0.001]
    const dead = amounts.map((amount, i): [number, number] => [growth[i] ?? 0, amount])
    const working = amounts.map((amount, i): [number, number] => [3 - (growth[i] ?? 0), amount])
    const { value } = unseenRate(looks(dead, working))
    expect(Number(value?.perDay.toPrecision(2))).toBe(mpn)
  })

  // Health Canada, methods of microbial analysis, volume 3, appendix D, table I, read in source: five tubes each of 10, 1
  // and 0.1 g, all five of the first and one of the second with growth, are 33 in 100 g.
  it('most probable number of 5-1-0', () => {
    const { value } = unseenRate(
      looks(
        [
          [5, 10],
          [1, 1],
        ],
        [
          [4, 1],
          [5, 0.1],
        ],
      ),
    )
    expect(Math.round(100 * (value?.perDay ?? 0))).toBe(33)
  })

  // Computed with scipy 1.17: brentq on the score and on the log likelihood less chi2.ppf(0.95, 1) / 2.
  it('the likeliest rate and its likelihood-ratio limits', () => {
    const even = unseenRate(looks([[3, 90]], [[7, 90]])).value
    expect(even?.perDay).toBeCloseTo(0.0039630549326525825, 13)
    expect(even?.low).toBeCloseTo(0.0009816553968320708, 12)
    expect(even?.high).toBeCloseTo(0.01036414894586741, 12)
    const dead: [number, number][] = [30, 60, 90, 200].map(days => [1, days])
    const working: [number, number][] = [30, 30, 60, 90, 90, 90, 180, 180].map(days => [1, days])
    const mixed = unseenRate(looks(dead, working)).value
    expect(mixed?.perDay).toBeCloseTo(0.004342380902627185, 13)
    expect(mixed?.low).toBeCloseTo(0.0013386520744159641, 12)
    expect(mixed?.high).toBeCloseTo(0.010222513151464099, 12)
  })
})
