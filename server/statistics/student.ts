// Student's t distribution, for any positive number of degrees of freedom.

import { betaAbove, betaBelow } from './beta.ts'
import { findRoot } from './find-root.ts'

/** Chance that Student's t with `df` degrees of freedom lies further from zero than ±t. */
export function studentBeyond(t: number, df: number): number {
  const square = t * t
  // The smaller of the two shares of df + t²: the larger would round to one.
  if (square < df) return betaAbove(square / (df + square), 0.5, df / 2)
  return betaBelow(df / (df + square), df / 2, 0.5)
}

/** The t not exceeded with chance p, 0 < p < 1; ±Infinity at the ends. To 12 digits for p from 1e-100. */
export function studentQuantile(p: number, df: number): number {
  if (p <= 0) return -Infinity
  if (p >= 1) return Infinity
  if (p > 0.5) return -studentQuantile(1 - p, df)
  let high = 2
  while (studentBeyond(high, df) > 2 * p) high *= 2
  const low = high === 2 ? 0 : high / 2
  // Logarithms, so that a tail of 1e-20 is as far from its neighbours as one of a tenth.
  return -findRoot(t => Math.log(2 * p) - Math.log(studentBeyond(t, df)), low, high)
}
