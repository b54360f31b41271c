import { normalCdf } from '../../statistics/normal.ts'
import { reversalChances, risingPairs, tieSizes } from './reversals.ts'

export interface MannKendall {
  n: number
  /** Rising pairs less falling pairs. */
  s: number
  /** Corrected for ties. */
  variance: number
  /** With continuity correction; 0 when s is 0. */
  z: number
  /** S over all pairs. */
  tau: number
  /** Two-sided chance of this much rise or fall without a trend. */
  chance: number
  method: 'exact' | 'normal curve'
}

/**
 * Does a series rise or fall, whatever its shape? Values in order of time. Exact chances for up to forty
 * readings without ties, else the normal curve with the tie-corrected variance. Null below four readings.
 */
export function mannKendall(values: readonly number[]): MannKendall | null {
  const n = values.length
  if (n < 4) return null
  const [rising, falling] = [risingPairs(values), risingPairs(values.toReversed())]
  const s = rising - falling
  const pairs = (n * (n - 1)) / 2
  const variance = (n * (n - 1) * (2 * n + 5) - tieTerm(values)) / 18
  const z = s === 0 || variance === 0 ? 0 : (s - Math.sign(s)) / Math.sqrt(variance)
  const exact = n <= 40 && rising + falling === pairs
  const tails = reversalChances(exact ? n : 2, exact ? rising : 0)
  const chance = exact ? 2 * Math.min(tails.atMost, tails.atLeast) : 2 * normalCdf(-Math.abs(z))
  const method = exact ? 'exact' : 'normal curve'
  return { n, s, variance, z, tau: s / pairs, chance: Math.min(1, chance), method }
}

function tieTerm(values: readonly number[]): number {
  return tieSizes(values).reduce((total, t) => total + t * (t - 1) * (2 * t + 5), 0)
}
