import { chiSquareQuantile } from './chi-square.ts'
import { lowerGamma, upperGamma } from './gamma.ts'

export interface Limits {
  low: number
  high: number
}

/** Chance of k or more events where `mean` are expected. */
export function poissonAtLeast(k: number, mean: number): number {
  return k <= 0 ? 1 : lowerGamma(k, mean)
}

/** Chance of k or fewer events where `mean` are expected. */
export function poissonAtMost(k: number, mean: number): number {
  return k < 0 ? 0 : upperGamma(Math.floor(k) + 1, mean)
}

/** Exact two-sided limits of the expected count when k events were seen (Garwood 1936). Low is 0 at k = 0. */
export function poissonLimits(k: number, confidence: number): Limits {
  const tail = (1 - confidence) / 2
  return {
    low: k === 0 ? 0 : chiSquareQuantile(tail, 2 * k) / 2,
    high: chiSquareQuantile(1 - tail, 2 * k + 2) / 2,
  }
}

/** Smallest count whose chance of not being exceeded is at least p. */
export function poissonQuantile(p: number, mean: number): number {
  let high = Math.max(1, Math.ceil(mean))
  while (poissonAtMost(high, mean) < p) high *= 2
  let low = -1
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2)
    if (poissonAtMost(middle, mean) >= p) high = middle
    else low = middle
  }
  return high
}
