// Rounded, copied or invented readings give themselves away in the last digit.

import { chiSquareAbove } from '../../statistics/chi-square.ts'
import { chanceWords, percentWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'

export interface DigitReading {
  value: number
  /** One count of the last digit typed. */
  resolution: number
}

export interface LastDigits {
  /** How often each last digit 0 … 9 occurs. */
  counts: number[]
  n: number
  /** Share of readings that end in 0 or 5; a fifth is expected. */
  roundShare: number
  chance: number
}

/** Smallest number of readings, and of counts between the quartiles, for which all ten digits should be alike. */
const fewest = 50
const leastSpread = 20

/** Last-digit heaping at one check. The chance is chi-square on nine degrees. Linear but for one sort. */
export function lastDigits(readings: readonly DigitReading[]): Explained<LastDigits | null> {
  const steps = readings.filter(r => r.resolution > 0).map(r => Math.round(Math.abs(r.value) / r.resolution))
  const n = steps.length
  const terms = [term('n', n, 'readings that are numbers')]
  if (n < fewest) return cannotSay(`Cannot say: ${fewest} readings are needed.`, terms)
  if (quartileSpread(steps) < leastSpread)
    return cannotSay(
      'Cannot say: the readings lie too close together for their last digits to be alike.',
      terms,
    )
  const counts = new Array<number>(10).fill(0)
  for (const step of steps) counts[step % 10] = (counts[step % 10] ?? 0) + 1
  const expected = n / 10
  const chiSquare = counts.reduce((total, count) => total + (count - expected) ** 2 / expected, 0)
  const chance = chiSquareAbove(chiSquare, 9)
  const roundShare = ((counts[0] ?? 0) + (counts[5] ?? 0)) / n
  return {
    value: { counts, n, roundShare, chance },
    words: `${percentWords(roundShare)} end in 0 or 5 where 20 % would be usual; ${chanceWords(chance)}`,
    terms: [
      ...terms,
      term('chi-square', chiSquare, 'counts of the ten last digits against a tenth each, nine degrees'),
    ],
  }
}

function quartileSpread(steps: readonly number[]): number {
  const sorted = Float64Array.from(steps).sort()
  const at = (share: number) => sorted[Math.floor(share * (sorted.length - 1))] ?? 0
  return at(0.75) - at(0.25)
}
