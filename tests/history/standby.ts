// Invented positions whose failure is not shown to anybody, looked at on rounds: what happened, and what was written down.

import { type DeadShare, deadShareAt } from '../../server/history/positions/dead-time.ts'
import { looksOf, type Sighting } from '../../server/history/positions/sightings.ts'
import { unseenRate } from '../../server/history/positions/unseen-rate.ts'
import { type Chance, seeded } from './chance.ts'

const day = 86_400_000

export interface Standby {
  /** While it works. */
  failuresPerDay: number
  intervalDays: number
  positions: number
  rounds: number
  /** While it stands dead, how often somebody finds it who was not on a round; 0: only rounds find it. */
  noticedPerDay?: number
}

export interface StandbyRecord {
  /** By position, and in order of time. */
  sightings: Sighting[]
  /** Reports and moments in service, as the review counts faults. */
  faultsAt: number[][]
  watchedDays: number
  /** The share of all the time that the positions truly stood dead. */
  deadShare: number
}

/** Found dead, it is put right the same day, as new. */
export function standbyRecord(seed: number, standby: Standby): StandbyRecord {
  const random = seeded(seed)
  const all = Array.from({ length: standby.positions }, (_, p) => lifeOf(`p${p}`, standby, random))
  const watchedDays = standby.rounds * standby.intervalDays
  return {
    sightings: all.flatMap(one => one.sightings),
    faultsAt: all.map(one => one.faultsAt),
    watchedDays,
    deadShare: all.reduce((sum, one) => sum + one.deadDays, 0) / (standby.positions * watchedDays),
  }
}

function lifeOf(positionId: string, standby: Standby, random: Chance) {
  const { failuresPerDay, intervalDays, rounds, noticedPerDay = 0 } = standby
  const life = { sightings: [] as Sighting[], faultsAt: [] as number[], deadDays: 0 }
  const see = (onDay: number, what: Sighting['what']) =>
    life.sightings.push({ positionId, atMs: onDay * day, what })
  const fromNowWorks = (onDay: number) => onDay + random.exponential(1 / failuresPerDay)
  const noticedOn = () => (noticedPerDay === 0 ? Infinity : failsOn + random.exponential(1 / noticedPerDay))
  let failsOn = fromNowWorks(0)
  let noticed = noticedOn()
  const find = (onDay: number, what: 'dead on a round' | 'dead between rounds') => {
    see(onDay, what)
    see(onDay, 'put right')
    life.faultsAt.push(onDay)
    life.deadDays += onDay - failsOn
    failsOn = fromNowWorks(onDay)
    noticed = noticedOn()
  }
  see(0, 'working')
  for (let round = 1; round <= rounds; round++) {
    const on = round * intervalDays
    while (noticed < on) find(noticed, 'dead between rounds')
    if (failsOn < on) find(on, 'dead on a round')
    else see(on, 'working')
  }
  return life
}

/** What the review says of the record. */
export function estimateOf({ sightings }: StandbyRecord, intervalDays: number): DeadShare {
  const { value, words } = unseenRate(looksOf(sightings, { fromMs: 0, toMs: Infinity }))
  if (value === null) throw new Error(words)
  return deadShareAt(value, intervalDays)
}
