import { normalQuantile } from '../../statistics/normal.ts'
import { mannKendall } from './mann-kendall.ts'

export interface TheilSen {
  slope: number
  low: number
  high: number
  /** The line runs through the medians of time and value (Conover's intercept). */
  medianX: number
  medianY: number
  intercept: number
  /** Pairs at different times. */
  pairs: number
}

/**
 * Median of the slopes between all pairs, with Gilbert's limits (1987) read between the ordered slopes by
 * linear interpolation. Unmoved by a few wild readings. Null below four readings, or with all at one time.
 */
export function theilSen(x: readonly number[], y: readonly number[], confidence = 0.95): TheilSen | null {
  const trend = mannKendall(y)
  const slopes = pairSlopes(x, y)
  const pairs = slopes.length
  if (trend === null || pairs === 0) return null
  const reach = normalQuantile((1 + confidence) / 2) * Math.sqrt(trend.variance)
  const [medianX, medianY] = [median(x), median(y)]
  const slope = atRank(slopes, (pairs + 1) / 2)
  return {
    slope,
    low: atRank(slopes, (pairs - reach) / 2),
    high: atRank(slopes, (pairs + reach) / 2 + 1),
    medianX,
    medianY,
    intercept: medianY - slope * medianX,
    pairs,
  }
}

export function median(values: readonly number[]): number {
  return atRank(Float64Array.from(values).sort(), (values.length + 1) / 2)
}

/** Ascending. */
function pairSlopes(x: readonly number[], y: readonly number[]): Float64Array {
  const slopes: number[] = []
  for (let i = 0; i < x.length; i++) {
    for (let j = i + 1; j < x.length; j++) {
      const run = (x[j] ?? 0) - (x[i] ?? 0)
      if (run !== 0) slopes.push(((y[j] ?? 0) - (y[i] ?? 0)) / run)
    }
  }
  return Float64Array.from(slopes).sort()
}

/** Value at a rank counted from one, between two ranks in proportion, held inside the ends. */
function atRank(sorted: Float64Array, rank: number): number {
  const held = Math.min(Math.max(rank, 1), sorted.length)
  const below = Math.floor(held)
  const low = sorted[below - 1] ?? 0
  const high = sorted[Math.min(below, sorted.length - 1)] ?? low
  return low + (held - below) * (high - low)
}
