// Benchmarks of the fault history that need no database.

import { quietRailway } from '../history/quiet-railway.ts'
import { listNames, review, statedErrorRate } from '../history/quiet-review.ts'
import type { Bench } from './run.ts'

const seeds = 200

/**
 * Over 200 invented railways on which nothing is wrong: of all lists of the review (ten a railway), the share that has
 * any entry at all. Each list states that it has one on no more than one quiet railway in twenty.
 */
const quietFalseFlags: Bench = {
  name: 'quiet-false-flags',
  unit: 'share of lists with a false entry',
  goal: { at: 'most', value: statedErrorRate },
  run: async () => {
    const shares = falseEntryShares(seeds)
    return [...shares.values()].reduce((a, b) => a + b, 0) / shares.size
  },
}

export const benches: Bench[] = [quietFalseFlags]

/** For each list, the share of railways on which it has a false entry. */
export function falseEntryShares(railways: number): Map<string, number> {
  const flagged = new Map(listNames.map(name => [name, 0]))
  for (let seed = 1; seed <= railways; seed++) {
    for (const [name, entries] of review(quietRailway(seed))) {
      if (entries > 0) flagged.set(name, (flagged.get(name) ?? 0) + 1 / railways)
    }
  }
  return flagged
}
