// Benchmarks of what the fault history says: how seldom it names something where nothing is wrong.

import { demoOf, NOW } from '../demo/make.ts'
import { quietRailway } from '../history/quiet-railway.ts'
import { listNames, review, statedErrorRate } from '../history/quiet-review.ts'
import { cutOff, cutsBefore, dayMs, isPlanted, verdicts } from '../review/cuts.ts'
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

const cuts = 100

/**
 * The demo's record cut off at 100 moments and opened up to two years late: of the cuts, the share at which the review
 * says that something stands out which it did not say of the same record on the day it ended, planted truths apart.
 */
const cutOffFalseTrends: Bench = {
  name: 'cut-off-false-trends',
  unit: 'share of cuts that add a trend, season or offender',
  goal: { at: 'most', value: statedErrorRate },
  run: async () => {
    const whole = (await demoOf(1)).db.serialize()
    const added = cutsBefore(NOW.getTime(), cuts).filter(({ atMs, openedMs }) => {
      const storage = cutOff(whole, atMs)
      const fromMs = atMs - 730 * dayMs
      const then = verdicts(storage, atMs, fromMs)
      return [...verdicts(storage, openedMs, fromMs)].some(one => !then.has(one) && !isPlanted(one, 1))
    })
    return added.length / cuts
  },
}

export const benches: Bench[] = [quietFalseFlags, cutOffFalseTrends]

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
