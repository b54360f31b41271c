// Does a season or weather change what goes wrong? Two mixes
// against one, by their Dirichlet-multinomial evidence.

import { logGamma } from '../../statistics/gamma.ts'
import { type Counts, sumOf } from './cause-counts.ts'

/**
 * Logarithm of the Bayes factor for "under this condition the mix of causes is its own" against "one mix for
 * all". `mix` is the mix expected beforehand (adds up to 1, no zeros), held with the strength of `strength`
 * faults. Above log 10 is called strong evidence (Jeffreys, Theory of Probability, appendix B).
 */
export function ownMixLogFactor(
  within: Counts,
  without: Counts,
  mix: ReadonlyMap<string, number>,
  strength: number,
): number {
  const together = new Map(
    [...mix.keys()].map(key => [key, (within.get(key) ?? 0) + (without.get(key) ?? 0)]),
  )
  return (
    logEvidence(within, mix, strength) +
    logEvidence(without, mix, strength) -
    logEvidence(together, mix, strength)
  )
}

/** The faults counted in all but not under the condition. */
export function restOf(all: Counts, part: Counts): Map<string, number> {
  return new Map([...all].map(([key, count]) => [key, Math.max(0, count - (part.get(key) ?? 0))]))
}

/** Logarithm of the chance of one sequence of faults with these counts. */
export function logEvidence(counts: Counts, mix: ReadonlyMap<string, number>, strength: number): number {
  const counted = new Map([...counts].filter(([key]) => mix.has(key)))
  let sum = logGamma(strength) - logGamma(strength + sumOf(counted))
  for (const [key, count] of counted) {
    const pseudo = strength * (mix.get(key) ?? 0)
    sum += logGamma(pseudo + count) - logGamma(pseudo)
  }
  return sum
}
