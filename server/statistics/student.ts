import { betaBelow } from './beta.ts'
import { findRoot } from './find-root.ts'

/** Chance that Student's t with `df` degrees of freedom lies further from zero than ±t. */
export function studentBeyond(t: number, df: number): number {
  const square = t * t
  // Near zero the long way round, where df / (df + t²) would round to one.
  if (square < df) return 1 - betaBelow(square / (df + square), 0.5, df / 2)
  return betaBelow(df / (df + square), df / 2, 0.5)
}

/** The t not exceeded with chance p, 0 < p < 1; ±Infinity at the ends. */
export function studentQuantile(p: number, df: number): number {
  if (p <= 0) return -Infinity
  if (p >= 1) return Infinity
  if (p < 0.5) return -studentQuantile(1 - p, df)
  const tail = 2 * (1 - p)
  let high = 2
  while (studentBeyond(high, df) > tail) high *= 2
  return findRoot(t => tail - studentBeyond(t, df), 0, high)
}
