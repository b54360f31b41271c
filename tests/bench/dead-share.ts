import { deadShare } from '../../server/history/positions/dead-time.ts'
import { estimateOf, standbyRecord } from '../history/standby.ts'

const yearDays = 365.25
const failuresPerYear = [0.5, 1, 2]
const intervals = [30, 60, 90, 180, 365]
const seeds = 8

/**
 * How far the share of the time that the review says a position stands dead lies from the truth: the mean of eight
 * invented depots of 400 positions and eight rounds each, where only rounds find a failure, at the worst of fifteen
 * pairs of a rate and an interval.
 */
export const benches = [
  {
    name: 'dead-share-bias',
    unit: 'share of the time',
    goal: { at: 'most' as const, value: 0.02 },
    run: (): number =>
      Math.max(...failuresPerYear.flatMap(rate => intervals.map(days => Math.abs(bias(rate, days))))),
  },
]

function bias(perYear: number, intervalDays: number): number {
  const standby = { failuresPerDay: perYear / yearDays, intervalDays, positions: 400, rounds: 8 }
  const shares = Array.from(
    { length: seeds },
    (_, seed) => estimateOf(standbyRecord(seed + 1, standby), intervalDays).share,
  )
  return shares.reduce((a, b) => a + b) / seeds - deadShare(standby.failuresPerDay, intervalDays)
}
