// Straight lines and gentle curves by least squares, on values centred first: raw sums lose all digits when
// the times are long and the spread is short.

import { studentBeyond, studentQuantile } from '../../statistics/student.ts'

export interface Line {
  n: number
  meanX: number
  meanY: number
  slope: number
  slopeError: number
  intercept: number
  interceptError: number
  /** Correlation of intercept and slope. */
  correlation: number
  /** Standard deviation about the line, and its degrees of freedom. */
  residual: number
  df: number
  /** Sums of squares: x about its mean, y explained and left over. */
  spreadX: number
  explained: number
  leftOver: number
  r2: number
  /** Chance of a slope this far from zero if there were none. */
  chance: number
}

/** Null below three points, or when all are at one x. */
export function fitLine(x: readonly number[], y: readonly number[]): Line | null {
  const n = x.length
  const [meanX, meanY] = [mean(x), mean(y)]
  const dx = x.map(v => v - meanX)
  const dy = y.map(v => v - meanY)
  const spreadX = dot(dx, dx)
  if (n < 3 || spreadX === 0) return null
  const slope = dot(dx, dy) / spreadX
  const leftOver = sumOfSquares(dy.map((v, i) => v - slope * (dx[i] ?? 0)))
  const df = n - 2
  const residual = Math.sqrt(leftOver / df)
  const slopeError = residual / Math.sqrt(spreadX)
  const total = dot(dy, dy)
  return {
    n,
    meanX,
    meanY,
    slope,
    slopeError,
    residual,
    df,
    spreadX,
    leftOver,
    intercept: meanY - slope * meanX,
    interceptError: residual * Math.sqrt(1 / n + (meanX * meanX) / spreadX),
    correlation: -meanX / Math.sqrt(spreadX / n + meanX * meanX),
    explained: slope * slope * spreadX,
    r2: total === 0 ? 1 : 1 - leftOver / total,
    chance: slope === 0 ? 1 : slopeError === 0 ? 0 : studentBeyond(slope / slopeError, df),
  }
}

export function mean(values: readonly number[]): number {
  const rough = values.reduce((a, b) => a + b, 0) / values.length
  return rough + values.reduce((total, v) => total + (v - rough), 0) / values.length
}

export function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((total, v, i) => total + v * (b[i] ?? 0), 0)
}

export function sumOfSquares(values: readonly number[]): number {
  return dot(values, values)
}

export interface Crossing {
  at: number
  /** Fieller limits; null when the slope is too uncertain for any, so that nothing can be said. */
  low: number | null
  high: number | null
  /** Standard error of `at` when the slope is well known. */
  simpleError: number
}

/**
 * Where a least-squares line reaches a level, with Fieller's limits. `of`: the line itself, or the mean of
 * that many new readings. Null for a level line.
 */
export function crossing(
  line: Line,
  level: number,
  confidence = 0.95,
  of: 'line' | number = 'line',
): Crossing | null {
  if (line.slope === 0) return null
  const k = of === 'line' ? 0 : 1 / of
  const t = studentQuantile((1 + confidence) / 2, line.df)
  const run = (level - line.meanY) / line.slope
  const at = line.meanX + run
  const g = ((t * line.slopeError) / line.slope) ** 2
  const spread = line.residual / Math.abs(line.slope)
  const simpleError = spread * Math.sqrt(k + 1 / line.n + (run * run) / line.spreadX)
  if (g >= 1) return { at, low: null, high: null, simpleError }
  const middle = line.meanX + run / (1 - g)
  const half = (t * spread * Math.sqrt((k + 1 / line.n) * (1 - g) + (run * run) / line.spreadX)) / (1 - g)
  return { at, low: middle - half, high: middle + half, simpleError }
}
