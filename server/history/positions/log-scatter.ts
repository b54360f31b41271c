// How often against how long. Knights 2001, J. Quality in Maintenance Engineering 7:252–263 (from memory):
// the limit of "often" is the mean count of a cause, of "long" the mean time of a fault.

import type { Totals } from './pareto.ts'

export type Nature = 'often' | 'long' | 'both' | 'neither'

export interface ScatterPoint {
  cause: string
  n: number
  /** Mean minutes to restore, over the faults whose minutes are known. */
  meanMinutes: number
  nature: Nature
}

export interface LogScatter {
  points: ScatterPoint[]
  /** A cause with more faults than this is chronic. */
  oftenAbove: number
  /** A cause that takes longer than this on average is acute. */
  longAbove: number
  /** Causes without any known time, which cannot be placed. */
  unplaced: string[]
}

/** null when no fault has a known time. */
export function logScatter(totals: readonly Totals[]): LogScatter | null {
  const placed = totals.filter(row => row.withMinutes > 0 && row.minutes > 0)
  if (placed.length === 0) return null
  const faults = placed.reduce((total, row) => total + row.n, 0)
  const minutes = placed.reduce((total, row) => total + row.minutes, 0)
  const timed = placed.reduce((total, row) => total + row.withMinutes, 0)
  const limits = { oftenAbove: faults / placed.length, longAbove: minutes / timed }
  return {
    ...limits,
    points: placed.map(row => {
      const meanMinutes = row.minutes / row.withMinutes
      const nature = natureOf(row.n > limits.oftenAbove, meanMinutes > limits.longAbove)
      return { cause: row.cause, n: row.n, meanMinutes, nature }
    }),
    unplaced: totals.filter(row => !placed.includes(row)).map(row => row.cause),
  }
}

export interface Arrow {
  cause: string
  from: { n: number; meanMinutes: number }
  to: { n: number; meanMinutes: number }
}

/** How each cause moved from one period to the next; counts are put on the later period's length. */
export function arrows(before: LogScatter, after: LogScatter, lengthRatio = 1): Arrow[] {
  const earlier = new Map(before.points.map(point => [point.cause, point]))
  return after.points.flatMap(({ cause, n, meanMinutes }) => {
    const from = earlier.get(cause)
    if (from === undefined) return []
    return [
      { cause, from: { n: from.n * lengthRatio, meanMinutes: from.meanMinutes }, to: { n, meanMinutes } },
    ]
  })
}

function natureOf(often: boolean, long: boolean): Nature {
  if (often && long) return 'both'
  return often ? 'often' : long ? 'long' : 'neither'
}
