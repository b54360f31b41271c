import { binomialAtLeast } from '../../statistics/beta.ts'
import { findRoot } from '../../statistics/find-root.ts'

export interface Counted {
  faults: number
  days: number
}

export interface RateRatio {
  /** The rate in one over the rate in the other; infinite where the other has no fault. */
  ratio: number
  low: number
  high: number
  /**
   * Chance of a difference this large, one way or the other, at one rate for both: twice the smaller tail, as the
   * limits have half of what is left at each end. So it is at most 5 % just where the 95 % limits leave out one.
   */
  chance: number
}

/**
 * Two rates compared, given how many faults there are altogether: those in the first are then binomial, and
 * its exact limits (Clopper & Pearson 1934) give the ratio's. Przyborowski & Wilenski 1940, Biometrika
 * 31:313–323. Null where one of the two had no time or neither had a fault.
 */
export function rateRatio(one: Counted, other: Counted, confidence = 0.95): RateRatio | null {
  const n = one.faults + other.faults
  if (!(one.days > 0) || !(other.days > 0) || n === 0) return null
  const tail = (1 - confidence) / 2
  const low = one.faults === 0 ? 0 : findRoot(p => binomialAtLeast(one.faults, n, p) - tail, 0, 1)
  const high = one.faults === n ? 1 : findRoot(p => 1 - binomialAtLeast(one.faults + 1, n, p) - tail, 0, 1)
  const ratioOf = (share: number) => (share >= 1 ? Infinity : (share / (1 - share)) * (other.days / one.days))
  const share = one.days / (one.days + other.days)
  const more = binomialAtLeast(one.faults, n, share)
  const fewer = 1 - binomialAtLeast(one.faults + 1, n, share)
  const chance = Math.min(1, 2 * Math.min(more, fewer))
  return { ratio: ratioOf(one.faults / n), low: ratioOf(low), high: ratioOf(high), chance }
}
