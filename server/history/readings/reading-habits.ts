// What readings tell of how they were taken: rounded, copied or invented
// ones favour some last digits, and pile up just inside a limit.

import { binomialAtLeast } from '../../statistics/beta.ts'
import { chiSquareAbove } from '../../statistics/chi-square.ts'
import { normalCdf, normalQuantile } from '../../statistics/normal.ts'
import { chanceWords, countWords, percentWords } from '../../words.ts'
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

/**
 * Smallest number of readings, and of counts between the quartiles, for which all ten digits should be alike.
 */
const fewestForDigits = 50
const leastSpread = 20

/** Last-digit heaping at one check. The chance is chi-square on nine degrees. Linear but for one sort. */
export function lastDigits(readings: readonly DigitReading[]): Explained<LastDigits | null> {
  const steps = readings.filter(r => r.resolution > 0).map(r => Math.round(Math.abs(r.value) / r.resolution))
  const n = steps.length
  const terms = [term('n', n, 'readings that are numbers')]
  if (n < fewestForDigits) return cannotSay(`Cannot say: ${fewestForDigits} readings are needed.`, terms)
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

/** Of a normal curve with its peak in the middle of three strips, the part of the three that the middle one has. */
function shareAtPeak(width: number): number {
  if (width === Infinity) return 1
  const within = (strips: number) => 2 * normalCdf((strips * width) / 2) - 1
  return within(1) / within(3)
}

/** Standard deviation by the quartiles, which nudged readings hardly move: 1.349 of it lie between a normal curve’s. */
function spreadOf(values: readonly number[]): number {
  return quartileSpread(values) / (2 * normalQuantile(0.75))
}

function quartileSpread(steps: readonly number[]): number {
  const sorted = Float64Array.from(steps).sort()
  const at = (share: number) => sorted[Math.floor(share * (sorted.length - 1))] ?? 0
  return at(0.75) - at(0.25)
}

export interface PileUp {
  /**
   * Readings in three neighbouring strips of equal width: further inside, just inside, and outside the limit.
   */
  furtherInside: number
  justInside: number
  outside: number
  chance: number
}

const fewestNearLimit = 12

/**
 * Do readings pile up just inside a limit? Of three neighbouring strips the middle one, just inside, should hold a
 * third where the counts rise or fall evenly, and more where honest readings have their peak: at most what a normal
 * curve as narrow as these readings has there with its peak in the middle. Against that share the chance is the
 * binomial one. `counts` is the strips' width in counts of the last digit. A reading on the limit is inside.
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
  if (n < fewestNearLimit)
    return cannotSay(`Cannot say: ${fewestNearLimit} readings near the limit are needed.`, terms)
  const share = shareAtPeak((counts * resolution) / spreadOf(values))
  const chance = binomialAtLeast(strips.justInside, n, share)
  const words = `${strips.justInside} of ${n} readings near the limit lie just inside it; ${chanceWords(chance)}`
  return {
    value: { ...strips, chance },
    words,
    terms: [
      ...terms,
      term(
        'share',
        percentWords(share),
        'the most that honest readings spread like these would have just inside',
      ),
      term('chance', chance, 'binomial, against that share'),
    ],
  }
}
