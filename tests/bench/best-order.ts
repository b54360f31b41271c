// The suggestions beside the best order there could be: as floors that the exact search proves, in two readings.

import { replayMinutes, suggesting } from '../../server/diagnosis/judging/replay.ts'
import { type OrderSearch, searchOrder } from '../../server/diagnosis/ordering/next-check.ts'
import { run } from '../../server/diagnosis/ordering/run.ts'
import { countsFor, type PastFault } from '../../server/diagnosis/ranking/cause-counts.ts'
import { likelihoodOf } from '../../server/diagnosis/ranking/likelihood.ts'
import { type Ranking, rank } from '../../server/diagnosis/ranking/rank.ts'
import type { Knowledge } from '../../server/knowledge/types.ts'
import { floorOf } from './floor/least-order.ts'

export interface AgainstBest {
  n: number
  suggested: number
  /** No order takes less. */
  floor: number
}

/** How near the floors are sought, loosest first, and the work each may take: to find it nearer takes the search longer. */
const nearer = [1.5, 1.3, 1.2, 1.15, 1.1, 1.08, 1.06, 1.05, 1.04, 1.03, 1.02, 1.01, 1]
const work = { sameKnowledge: 1_000_000_000, hindsight: 300_000_000 }

/**
 * Expected minutes as a fault was reported, all the others being known: by the suggestions, and the floor for any order
 * by one who knows the same. No order is under the floor, so neither are the suggestions. The floor is dear to find:
 * of each tree the middle fault stands for all of them.
 */
export function againstSameKnowledge(knowledge: Knowledge, past: readonly PastFault[]): AgainstBest {
  const faults = inTrees(knowledge, past)
  const all: AgainstBest = { n: 0, suggested: 0, floor: 0 }
  for (const tree of new Set(faults.map(fault => fault.tree))) {
    const own = faults.filter(fault => fault.tree === tree)
    const fault = own[Math.floor(own.length / 2)] as PastFault
    const search = searchOn(knowledge, tree, rank(knowledge, tree, [], countsFor(past, fault)))
    const suggested = expectedBySuggestions(search)
    const floor = nearestFloor(search, suggested)
    if (floor > suggested + 1e-6) throw new Error(`The floor of ${tree} is above what was done.`)
    all.n += own.length
    all.suggested += suggested * own.length
    all.floor += floor * own.length
  }
  return all
}

/** Given that the cause is in the tree. */
function expectedBySuggestions(search: OrderSearch): number {
  const { plan, standing, onward } = search
  const followed = run(plan, standing, suggesting(search), onward)
  const inside = standing.alive.filter(index => (plan.hypotheses[index]?.cause ?? -1) >= 0)
  const weight = (index: number) => plan.hypotheses[index]?.weight ?? 0
  const whole = inside.reduce((sum, index) => sum + weight(index), 0)
  return inside.reduce((sum, index) => sum + weight(index) * (followed.minutes[index] ?? 0), 0) / whole
}

/**
 * Minutes as they turned out: by the suggestions, and by the one order for each tree that would have been best for
 * just the faults that came. Nobody could have known them, and with few faults to a tree that is much to know.
 */
export function againstHindsight(knowledge: Knowledge, past: readonly PastFault[]): AgainstBest {
  const faults = inTrees(knowledge, past)
  const all: AgainstBest = { n: 0, suggested: 0, floor: 0 }
  for (const tree of new Set(faults.map(fault => fault.tree))) {
    const own = faults.filter(fault => fault.tree === tree)
    const search = searchOn(knowledge, tree, asItCame(knowledge, tree, own))
    const best = floorOf(search.plan, search.standing, work.hindsight)
    const suggested = replayMinutes(knowledge, past, own).reduce((sum, one) => sum + one.minutes.suggested, 0)
    all.n += own.length
    all.suggested += suggested
    // Where the suggestions did better than any one order, they are the best that is known.
    all.floor += Math.min(best.minutes * own.length, suggested)
  }
  return all
}

/** Closed faults with a cause that is in their tree, those of one tree together. */
function inTrees(knowledge: Knowledge, past: readonly PastFault[]): PastFault[] {
  return past
    .filter(fault => likelihoodOf(knowledge, fault.tree)?.scope.causeAt.has(fault.cause ?? ''))
    .sort((a, b) => a.tree.localeCompare(b.tree) || a.reportedAt.localeCompare(b.reportedAt))
}

function searchOn(knowledge: Knowledge, tree: string, ranking: Ranking): OrderSearch {
  const search = searchOrder(knowledge, tree, [], ranking, { budget: 0 })
  if (!search) throw new Error(`There is no tree “${tree}”.`)
  return search
}

function asItCame(knowledge: Knowledge, tree: string, own: PastFault[]): Ranking {
  const ranking = rank(knowledge, tree, [], countsFor([], { ...(own[0] as PastFault), id: null }))
  const part = (key: string) => own.filter(fault => fault.cause === key).length / own.length
  const causes = ranking.causes.map(one => ({
    ...one,
    probability: part(`${one.cause.equipment}/${one.cause.slug}`),
  }))
  return { ...ranking, causes, outside: { ...ranking.outside, probability: 0 } }
}

function nearestFloor({ plan, standing }: OrderSearch, minutes: number): number {
  const sought = nearer.map(factor => minutes / factor)
  return floorOf(plan, standing, work.sameKnowledge, sought).minutes
}
