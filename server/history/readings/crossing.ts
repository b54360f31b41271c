import { studentQuantile } from '../../statistics/student.ts'
import type { Line } from './line.ts'

export interface Crossing {
  at: number
  /** Fieller limits; null when the slope is too uncertain for any, so that nothing can be said. */
  low: number | null
  high: number | null
  /** Standard error of `at` when the slope is well known. */
  simpleError: number
}

/**
 * Where a least-squares line reaches a level, with Fieller's limits. `of`: the line itself, or the mean of that many
 * new readings. Null for a level line.
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
