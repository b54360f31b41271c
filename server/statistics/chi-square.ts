import { findRoot } from './find-root.ts'
import { lowerGamma, upperGamma } from './gamma.ts'
import { normalQuantile } from './normal.ts'

/** The x that a gamma variable of this shape and rate does not exceed with chance p. */
export function gammaQuantile(p: number, shape: number, rate: number): number {
  if (p <= 0) return 0
  if (p >= 1) return Infinity
  const gap = (x: number) => (p < 0.5 ? lowerGamma(shape, x) - p : 1 - p - upperGamma(shape, x))
  const middle = firstGuess(p, shape)
  let low = middle / 2
  let high = middle * 2
  while (gap(low) > 0 && low > 1e-300) low /= 4
  while (gap(high) < 0) high *= 2
  return findRoot(gap, low, high) / rate
}

/** Chance that a gamma variable of this shape and rate is more than x. */
export function gammaAbove(x: number, shape: number, rate: number): number {
  return upperGamma(shape, x * rate)
}

/** The value that a chi-square variable with `df` degrees of freedom does not exceed with chance p. */
export function chiSquareQuantile(p: number, df: number): number {
  return 2 * gammaQuantile(p, df / 2, 1)
}

export function chiSquareBelow(x: number, df: number): number {
  return lowerGamma(df / 2, x / 2)
}

export function chiSquareAbove(x: number, df: number): number {
  return upperGamma(df / 2, x / 2)
}

/** Wilson and Hilferty's cube, with a floor where it would leave the positive side. */
function firstGuess(p: number, shape: number): number {
  const cube = 1 - 1 / (9 * shape) + normalQuantile(p) / (3 * Math.sqrt(shape))
  return cube > 0.1 ? shape * cube ** 3 : Math.max(1e-250, Math.exp(Math.log(p * shape) / shape))
}
