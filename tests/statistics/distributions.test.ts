// Held against the @stdlib statistics packages (Apache-2.0), a general-purpose library the program itself does not use.
import binomialCdf from '@stdlib/stats-base-dists-binomial-cdf'
import chiSquareCdf from '@stdlib/stats-base-dists-chisquare-cdf'
import chiSquareReference from '@stdlib/stats-base-dists-chisquare-quantile'
import gammaCdf from '@stdlib/stats-base-dists-gamma-cdf'
import gammaReference from '@stdlib/stats-base-dists-gamma-quantile'
import normalCdfReference from '@stdlib/stats-base-dists-normal-cdf'
import normalReference from '@stdlib/stats-base-dists-normal-quantile'
import poissonCdf from '@stdlib/stats-base-dists-poisson-cdf'
import studentCdf from '@stdlib/stats-base-dists-t-cdf'
import studentReference from '@stdlib/stats-base-dists-t-quantile'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { binomialAtLeast } from '../../server/statistics/beta.ts'
import {
  chiSquareBelow,
  chiSquareQuantile,
  gammaAbove,
  gammaQuantile,
} from '../../server/statistics/chi-square.ts'
import { findRoot } from '../../server/statistics/find-root.ts'
import { logGamma, lowerGamma, upperGamma } from '../../server/statistics/gamma.ts'
import { normalCdf, normalQuantile } from '../../server/statistics/normal.ts'
import {
  poissonAtLeast,
  poissonAtMost,
  poissonLimits,
  poissonQuantile,
} from '../../server/statistics/poisson.ts'
import { studentBeyond, studentQuantile } from '../../server/statistics/student.ts'

const chances = [1e-9, 1e-4, 0.001, 0.025, 0.1, 0.5, 0.9, 0.975, 0.999, 0.9999]

function agrees(ours: number, theirs: number, relative = 1e-11) {
  expect(Math.abs(ours - theirs)).toBeLessThanOrEqual(relative * Math.abs(theirs) + 1e-15)
}

describe('against a reference library', () => {
  it.each([0.01, 0.5, 1, 2.5, 10, 100])('gamma and chi-square quantiles at shape %d', shape => {
    for (const p of chances) {
      agrees(gammaQuantile(p, shape, 3), gammaReference(p, shape, 3))
      agrees(chiSquareQuantile(p, 2 * shape), chiSquareReference(p, 2 * shape))
    }
  })

  it.each([0.2, 1, 3, 20, 31, 190])('gamma and chi-square chances at shape %d', shape => {
    for (const x of [0.1, 0.5, 0.9, 1, 1.1, 2, 4].map(f => f * shape)) {
      agrees(lowerGamma(shape, x), gammaCdf(x, shape, 1))
      agrees(chiSquareBelow(x, shape), chiSquareCdf(x, shape))
      expect(gammaAbove(x, shape, 1)).toBeCloseTo(1 - gammaCdf(x, shape, 1), 12)
    }
  })

  it('normal chances and quantiles', () => {
    for (const z of [-8, -3, -1, -0.01, 0, 0.3, 2, 5]) agrees(normalCdf(z), normalCdfReference(z, 0, 1))
    for (const p of chances.slice(1)) agrees(normalQuantile(p), normalReference(p, 0, 1))
  })

  it.each([1, 2, 5, 30, 400])("Student's t with %d degrees of freedom", df => {
    for (const p of chances.slice(1)) agrees(studentQuantile(p, df), studentReference(p, df), 1e-9)
    for (const t of [0.1, 1, 2.5, 9, 30]) agrees(studentBeyond(t, df), 2 * studentCdf(-t, df), 1e-10)
  })

  it.each([1e-20, 1e-9])("a quantile of Student's t in the far tail, p = %d, and the chance there", p => {
    for (const df of [1, 2, 3, 5, 10, 30]) {
      agrees(studentQuantile(p, df), studentReference(p, df), 1e-9)
      agrees(studentBeyond(studentQuantile(p, df), df), 2 * p, 1e-11)
    }
  })

  it('Poisson and binomial chances', () => {
    for (const mean of [0.05, 0.6, 3, 40, 900]) {
      for (const k of [0, 1, 2, 5, 40, 880, 1000]) agrees(poissonAtMost(k, mean), poissonCdf(k, mean), 1e-10)
    }
    for (const [k, n, p] of [
      [1, 10, 0.02],
      [5, 9, 0.5],
      [7, 2000, 0.001],
      [300, 1_000_000, 0.0002],
    ] as const) {
      expect(binomialAtLeast(k, n, p)).toBeCloseTo(1 - binomialCdf(k - 1, n, p), 12)
    }
  })
})

// Where the reference library itself gives way: 15 digits computed with mpmath.
describe('against arbitrary-precision arithmetic', () => {
  it('holds at large shapes and in the far tail', () => {
    agrees(lowerGamma(4000, 3600), 3.00917255430274e-11)
    agrees(lowerGamma(4000, 4000), 0.502102613353679)
    agrees(lowerGamma(4000, 4400), 0.999999999561894)
    agrees(normalQuantile(1e-9), -5.99780701500769)
    agrees(normalCdf(-2.9), 0.00186581330038404)
    agrees(studentQuantile(1e-9, 400), -6.13920089170638)
    agrees(studentQuantile(1e-20, 400), -9.78857674507554)
    agrees(studentQuantile(1e-20, 6.5), -2274.51782303036)
  })
})

describe('laws', () => {
  const shape = fc.double({ min: 0.05, max: 2000, noNaN: true })
  const chance = fc.double({ min: 1e-6, max: 1 - 1e-6, noNaN: true })

  it('a quantile is not exceeded with its own chance', () => {
    fc.assert(
      fc.property(shape, chance, (a, p) => {
        expect(lowerGamma(a, gammaQuantile(p, a, 1))).toBeCloseTo(p, 10)
        expect(normalCdf(normalQuantile(p))).toBeCloseTo(p, 12)
        expect(1 - studentBeyond(studentQuantile(0.5 + p / 2, a), a)).toBeCloseTo(p, 9)
      }),
      { seed: 4700 },
    )
  })

  it('the two halves of the gamma function make one', () => {
    fc.assert(
      fc.property(shape, fc.double({ min: 0, max: 4000, noNaN: true }), (a, x) => {
        expect(lowerGamma(a, x) + upperGamma(a, x)).toBeCloseTo(1, 12)
      }),
      { seed: 4700 },
    )
  })

  it('ln Γ is the logarithm of the factorial at whole numbers, and of √π at a half', () => {
    let factorial = 1
    for (let n = 1; n <= 20; n++) {
      expect(logGamma(n)).toBeCloseTo(Math.log(factorial), 10)
      factorial *= n
    }
    expect(logGamma(0.5)).toBeCloseTo(Math.log(Math.PI) / 2, 10)
    expect(logGamma(0.001)).toBeCloseTo(6.907178885, 8)
  })

  it('ln Γ(x + 1) is ln Γ(x) + ln x', () => {
    fc.assert(
      fc.property(shape, x => {
        expect(logGamma(x + 1) - logGamma(x)).toBeCloseTo(Math.log(x), 10)
      }),
      { seed: 4700 },
    )
  })

  it('Poisson limits hold the count between them and widen with confidence', () => {
    fc.assert(
      fc.property(fc.nat(3000), k => {
        const [narrow, wide] = [poissonLimits(k, 0.9), poissonLimits(k, 0.99)]
        expect(narrow.low).toBeLessThanOrEqual(k)
        expect(narrow.high).toBeGreaterThan(k)
        expect(wide.low).toBeLessThanOrEqual(narrow.low)
        expect(wide.high).toBeGreaterThan(narrow.high)
      }),
      { seed: 4700 },
    )
  })

  it('the chances of every count sum to the chance of at most that count', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 60, noNaN: true }), fc.nat(40), (mean, k) => {
        const exactly = (n: number) => Math.exp(n * Math.log(mean) - mean - logGamma(n + 1))
        const sum = Array.from({ length: k + 1 }, (_, n) => exactly(n)).reduce((a, b) => a + b, 0)
        expect(sum).toBeCloseTo(poissonAtMost(k, mean), 11)
        expect(poissonAtLeast(k + 1, mean)).toBeCloseTo(1 - sum, 11)
      }),
      { seed: 4700 },
    )
  })

  it('a Poisson quantile is the smallest count that reaches the chance', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 500, noNaN: true }), chance, (mean, p) => {
        const k = poissonQuantile(p, mean)
        expect(poissonAtMost(k, mean)).toBeGreaterThanOrEqual(p)
        expect(poissonAtMost(k - 1, mean)).toBeLessThan(p)
      }),
      { seed: 4700 },
    )
  })

  it('a root is found wherever it is put', () => {
    fc.assert(
      fc.property(fc.double({ min: -50, max: 50, noNaN: true }), root => {
        expect(findRoot(x => (x - root) ** 3 + x - root, -60, 70)).toBeCloseTo(root, 9)
      }),
      { seed: 4700 },
    )
  })
})
