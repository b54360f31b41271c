import { binomialAtLeast } from '../../statistics/beta.ts'
import { chanceWords, countWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'

export interface PileUp {
  /** Readings in three neighbouring strips of equal width: further inside, just inside, and outside the limit. */
  furtherInside: number
  justInside: number
  outside: number
  chance: number
}

const fewest = 12

/**
 * Do readings pile up just inside a limit? Of three neighbouring strips the middle one, just inside, should hold a
 * third wherever the counts rise or fall evenly; the chance is the binomial one. `counts` is the strips' width in
 * counts of the last digit. A reading on the limit is inside.
 */
export function pileUp(
  values: readonly number[],
  limit: { value: number; side: 'max' | 'min' },
  resolution: number,
  counts = 5,
): Explained<PileUp | null> {
  const sign = limit.side === 'max' ? 1 : -1
  const strips = { furtherInside: 0, justInside: 0, outside: 0 }
  for (const value of values) {
    const inside = Math.round((sign * (limit.value - value)) / resolution)
    if (inside < -counts || inside >= 2 * counts) continue
    if (inside < 0) strips.outside++
    else if (inside < counts) strips.justInside++
    else strips.furtherInside++
  }
  const n = strips.furtherInside + strips.justInside + strips.outside
  const terms = [
    term('further inside', strips.furtherInside, 'readings in the strip before that'),
    term('just inside', strips.justInside, `readings within ${countWords(counts, 'count')} inside the limit`),
    term('outside', strips.outside, 'readings as far outside'),
  ]
  if (n < fewest) return cannotSay(`Cannot say: ${fewest} readings near the limit are needed.`, terms)
  const chance = binomialAtLeast(strips.justInside, n, 1 / 3)
  const words = `${strips.justInside} of ${n} readings near the limit lie just inside it; ${chanceWords(chance)}`
  return {
    value: { ...strips, chance },
    words,
    terms: [...terms, term('chance', chance, 'binomial, a third expected')],
  }
}
