// How often nothing was found, by kind of unit, place or tree;
// never by person: it is no measure of anybody's work.

import { normalQuantile } from '../statistics/normal.ts'
import { countWords, percentWords } from '../words.ts'
import { cannotSay, type Explained, term } from './explained.ts'

export interface Outcome {
  /** Kind of unit, place or tree. */
  group: string
  /** null: not settled, so it takes no part. */
  nothingFound: boolean | null
}

export interface NothingFound {
  group: string
  nothingFound: number
  settled: number
  unsettled: number
  share: number | null
  low: number | null
  high: number | null
}

/** One row per group with its denominator, most faults first, with Wilson's limits. Streams. */
export function nothingFoundByGroup(outcomes: Iterable<Outcome>, confidence = 0.95): NothingFound[] {
  const counts = new Map<string, { found: number; nothing: number; unsettled: number }>()
  for (const { group, nothingFound } of outcomes) {
    const row = counts.get(group) ?? { found: 0, nothing: 0, unsettled: 0 }
    counts.set(group, row)
    if (nothingFound === null) row.unsettled++
    else if (nothingFound) row.nothing++
    else row.found++
  }
  return [...counts]
    .map(([group, { found, nothing, unsettled }]) => {
      const settled = found + nothing
      const limits = wilson(nothing, settled, confidence)
      return {
        group,
        nothingFound: nothing,
        settled,
        unsettled,
        share: settled === 0 ? null : nothing / settled,
        ...limits,
      }
    })
    .sort((a, b) => b.settled - a.settled || (a.group < b.group ? -1 : 1))
}

/** `one`: what is counted, a fault or a unit. */
export function explainNothingFound(row: NothingFound, one = 'fault'): Explained<number | null> {
  const terms = [
    term('nothing found', row.nothingFound, 'every check in range and the symptom gone (numerator)'),
    term('settled', row.settled, `${one}s with a settled outcome (denominator, n)`),
    term('unsettled', row.unsettled, 'left out: not settled yet'),
  ]
  if (row.share === null || row.low === null || row.high === null)
    return cannotSay(`No settled ${one}, so no share.`, terms)
  const range = `${percentWords(row.low, 'down')} to ${percentWords(row.high, 'up')}`
  const words = `${percentWords(row.share)} of ${countWords(row.settled, one)} (${range}, 95 % limits)`
  return { value: row.share, words, terms }
}

/** Limits of a share (Wilson 1927); null without trials. */
export function wilson(k: number, n: number, confidence = 0.95): { low: number | null; high: number | null } {
  if (n === 0) return { low: null, high: null }
  const z = normalQuantile((1 + confidence) / 2)
  const middle = (k + (z * z) / 2) / (n + z * z)
  const half = (z / (n + z * z)) * Math.sqrt((k * (n - k)) / n + (z * z) / 4)
  // At the ends the limit is the end itself, which rounding would miss by a hair.
  return { low: k === 0 ? 0 : Math.max(0, middle - half), high: k === n ? 1 : Math.min(1, middle + half) }
}
