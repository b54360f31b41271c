// Is it getting worse? Three tests on the times of the faults of one repairable position, counted from when
// the watching began. Ended by time: every fault counts. Ended by a fault: the last one only marks the end.

import { chiSquareAbove, chiSquareBelow } from '../../statistics/chi-square.ts'
import { normalCdf } from '../../statistics/normal.ts'
import { reversalChancesWithTies, risingPairs, tieSizes } from '../readings/reversals.ts'

/** When the watching ended, in the unit of the times. */
export type Ending = { by: 'time'; at: number } | { by: 'fault' }

export interface TrendTest {
  /**
   * Laplace: U, positive when worsening. Military handbook:
   * chi-square, small when worsening. Reversals: few when worsening.
   */
  statistic: number
  /** Faults used. */
  n: number
  /** Chance, without a trend, of a result that looks this much like worsening. */
  worse: number
  /** The same for improving. */
  better: number
}

/** U = (mean − T/2) / (T √(1/12n)); the chances are by the normal curve. Null below two usable faults. */
export function laplace(times: readonly number[], ending: Ending): TrendTest | null {
  const used = usedTimes([times], [ending])
  return laplaceOf(used)
}

/** χ² = 2 Σ ln(T/t) with 2n degrees of freedom (MIL-HDBK-189); exact. Null below two usable faults. */
export function militaryHandbook(times: readonly number[], ending: Ending): TrendTest | null {
  return militaryHandbookOf(usedTimes([times], [ending]))
}

/** Both tests over several positions at once, each with its own ending. */
export function pooledTrend(systems: readonly { times: readonly number[]; ending: Ending }[]): {
  laplace: TrendTest | null
  militaryHandbook: TrendTest | null
} {
  const used = usedTimes(
    systems.map(s => s.times),
    systems.map(s => s.ending),
  )
  return { laplace: laplaceOf(used), militaryHandbook: militaryHandbookOf(used) }
}

/**
 * Reverse arrangement: pairs of gaps where the later one is longer; equal gaps make no pair, and the
 * chances are those of the same gaps in random order: exact up to sixty, the normal curve beyond. Null below four.
 */
export function reverseArrangement(times: readonly number[]): TrendTest | null {
  // Whole days counted from a start in the middle of one differ in their last binary digits.
  const grain = 1e-9 * (times.at(-1) ?? 0) || 1
  const gaps = times.map((t, i) => Math.round((t - (times[i - 1] ?? 0)) / grain))
  if (gaps.length < 4) return null
  const reversals = risingPairs(gaps)
  const chances = reversalChancesWithTies(tieSizes(gaps), reversals)
  return { statistic: reversals, n: gaps.length, worse: chances.atMost, better: chances.atLeast }
}

interface Used {
  time: number
  end: number
}

function usedTimes(systems: readonly (readonly number[])[], endings: readonly Ending[]): Used[] {
  return systems.flatMap((times, i) => {
    const ending = endings[i]
    if (ending === undefined) return []
    const end = ending.by === 'time' ? ending.at : (times.at(-1) ?? 0)
    const counted = ending.by === 'time' ? times : times.slice(0, -1)
    return counted
      .filter(() => end > 0)
      .map(time => ({ time: Math.min(Math.max(time, end * 1e-9), end), end }))
  })
}

function laplaceOf(used: Used[]): TrendTest | null {
  if (used.length < 2) return null
  const lead = used.reduce((total, { time, end }) => total + time - end / 2, 0)
  const variance = used.reduce((total, { end }) => total + (end * end) / 12, 0)
  const u = lead / Math.sqrt(variance)
  return { statistic: u, n: used.length, worse: normalCdf(-u), better: normalCdf(u) }
}

function militaryHandbookOf(used: Used[]): TrendTest | null {
  if (used.length < 2) return null
  const chiSquare = 2 * used.reduce((total, { time, end }) => total + Math.log(end / time), 0)
  const df = 2 * used.length
  return {
    statistic: chiSquare,
    n: used.length,
    worse: chiSquareBelow(chiSquare, df),
    better: chiSquareAbove(chiSquare, df),
  }
}
