import { logGamma } from './gamma.ts'

const tiny = 1e-300

/** I_x(a, b), the chance that a beta variable is at most x; a, b > 0. */
export function betaBelow(x: number, a: number, b: number): number {
  if (x <= 0) return 0
  if (x >= 1) return 1
  return isLow(x, a, b) ? lowTail(x, a, b) : Math.max(0, 1 - highTail(x, a, b))
}

/** 1 − I_x(a, b), without losing small values to the subtraction. */
export function betaAbove(x: number, a: number, b: number): number {
  if (x <= 0) return 1
  if (x >= 1) return 0
  return isLow(x, a, b) ? Math.max(0, 1 - lowTail(x, a, b)) : highTail(x, a, b)
}

/** Chance of k or more successes in n trials with chance p each. */
export function binomialAtLeast(k: number, n: number, p: number): number {
  if (k <= 0) return 1
  if (k > n) return 0
  return betaBelow(p, k, n - k + 1)
}

/** Where the continued fraction converges quickly from below. */
function isLow(x: number, a: number, b: number): boolean {
  return x < (a + 1) / (a + b + 2)
}

function lowTail(x: number, a: number, b: number): number {
  return Math.min(1, (front(x, a, b) * fraction(x, a, b)) / a)
}

function highTail(x: number, a: number, b: number): number {
  return Math.min(1, (front(x, a, b) * fraction(1 - x, b, a)) / b)
}

/** x^a (1 − x)^b / B(a, b) */
function front(x: number, a: number, b: number): number {
  return Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x))
}

/** Abramowitz & Stegun 26.5.8, by Lentz's method. */
function fraction(x: number, a: number, b: number): number {
  let c = 1
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1))
  let h = d
  for (let m = 1; m < 20_000; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
    d = 1 / nonZero(1 + even * d)
    c = nonZero(1 + even / c)
    h *= d * c
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))
    d = 1 / nonZero(1 + odd * d)
    c = nonZero(1 + odd / c)
    h *= d * c
    if (Math.abs(d * c - 1) < 1e-16) break
  }
  return h
}

function nonZero(x: number): number {
  return Math.abs(x) < tiny ? tiny : x
}
