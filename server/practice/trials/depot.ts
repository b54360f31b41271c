// A depot of one trial: how often each cause occurs there, and what its record says of the past.

import { type CauseCounts, noHistory, outsideKey } from '../../diagnosis/ranking/cause-counts.ts'
import { causeKey, reachable } from '../../knowledge/graph.ts'
import type { Knowledge } from '../../knowledge/types.ts'
import { FAULTS } from '../causes.ts'
import { type Chance, decades } from '../chance.ts'
import { hideTogether } from '../worlds.ts'
import type { TrialWorld } from './trial-worlds.ts'

/** A cause that can show as the symptom of a tree. */
export interface Possible {
  /** `equipment/cause` */
  cause: string
  /** The author's share times the chance that the cause shows as this symptom. */
  weight: number
}

export interface Candidates {
  foreseen: Possible[]
  /** Causes that no row of the tree leads to. */
  unforeseen: Possible[]
}

/** Positions at which each cause is tried to see how often it shows as the symptom. */
const TRIED = 8

/** What may be behind the symptom of a tree. */
export function candidatesOf(knowledge: Knowledge, tree: string, chance: Chance): Candidates {
  const found = knowledge.trees.get(tree)
  const foreseen = new Set(found ? reachable(knowledge, found).causes.map(causeKey) : [])
  const all = [...knowledge.equipment.values()].flatMap(kit => [...kit.causes.values()])
  const possible = all.flatMap(one => {
    const cause = causeKey(one)
    const weight = FAULTS.has(cause) ? one.share * shownShare(tree, cause, chance) : 0
    return weight > 0 ? [{ cause, weight }] : []
  })
  return {
    foreseen: possible.filter(({ cause }) => foreseen.has(cause)),
    unforeseen: possible.filter(({ cause }) => !foreseen.has(cause)),
  }
}

function shownShare(tree: string, cause: string, chance: Chance): number {
  const turns = Array.from({ length: TRIED }, () => hideTogether(tree, [cause], chance, 1))
  return turns.filter(hidden => hidden !== null).length / TRIED
}

export interface Depot {
  foreseen: Possible[]
  unforeseen: Possible[]
  history: CauseCounts
}

/** Past faults of the symptom at other sites, at this site, and at this position. */
const PAST = { elsewhere: 40, site: 4, position: 1 }

/** A depot with shares of its own, and a past drawn from them. */
export function drawDepot({ foreseen, unforeseen }: Candidates, world: TrialWorld, chance: Chance): Depot {
  const off = () => decades(chance, 1 / world.sharesOff, world.sharesOff)
  const moved = (list: Possible[]) => list.map(({ cause, weight }) => ({ cause, weight: weight * off() }))
  const here = { foreseen: moved(foreseen), unforeseen: moved(unforeseen) }
  const drawn = (count: number) => pastOf(here.foreseen, count, world, chance)
  return {
    ...here,
    history: {
      ...noHistory,
      elsewhere: drawn(PAST.elsewhere),
      site: drawn(PAST.site),
      position: drawn(PAST.position),
    },
  }
}

function pastOf(foreseen: Possible[], count: number, world: TrialWorld, chance: Chance): Map<string, number> {
  const counts = new Map<string, number>()
  for (let fault = 0; fault < count; fault++) {
    const cause = recorded(foreseen, world, chance)
    counts.set(cause, (counts.get(cause) ?? 0) + 1)
  }
  return counts
}

function recorded(foreseen: Possible[], world: TrialWorld, chance: Chance): string {
  if (chance.chance(world.misrecorded)) return chance.pick(foreseen).cause
  if (chance.chance(world.unforeseen)) return outsideKey
  return chance.weighted(foreseen, ({ weight }) => weight).cause
}
