// What a tree costs on the real mix of causes, for its author:
// minutes, the best order there could be, idle checks.

import { targetKey } from '../../knowledge/graph.ts'
import type { Check, Knowledge, Target } from '../../knowledge/types.ts'
import { type OrderSearch, searchOrder } from '../ordering/next-check.ts'
import { type Policy, useful } from '../ordering/plan.ts'
import { type Run, run } from '../ordering/run.ts'
import { type CauseCounts, sumOf } from '../ranking/cause-counts.ts'
import { rank } from '../ranking/rank.ts'

export interface TreeCost {
  /** Expected minutes to the proven cause: as written, and by the best order found. */
  minutes: { author: number; best: number }
  /** `exact`: no order that keeps to the constraints is sooner. */
  how: 'exact' | 'look-ahead'
  /** The checks in turn while each is found healthy: as written, and by the best order. */
  order: { author: Check[]; best: Check[] }
  /** Checks on the way whose finding, whatever it is, rules out nothing and proves nothing. */
  idle: Check[]
  ends: EndCost[]
}

export interface EndCost {
  target: Target
  /** Share of all faults that end here, by shares and history. */
  share: number
  /** Checks and minutes on the way to it, by the author's order. */
  steps: number
  minutes: number
  /** How often it was the cause, in the counts given. */
  found: number
}

/** null when the knowledge has no such tree. `budget` bounds the search for the best order. */
export function treeCost(
  knowledge: Knowledge,
  tree: string,
  counts: CauseCounts,
  budget = 20_000,
): TreeCost | null {
  const search = searchOrder(knowledge, tree, [], rank(knowledge, tree, [], counts), { budget })
  if (!search) return null
  const { plan, standing, onward, author, best } = search
  const met = new Map<number, boolean>()
  const watched: Policy = here => {
    const check = author.policy(here)
    if (check >= 0) met.set(check, met.get(check) || useful(plan, here, check))
    return check
  }
  const byAuthor = run(plan, standing, watched, onward)
  const byBest = run(plan, standing, best.policy, onward)
  const checksOf = (list: number[]) => list.flatMap(check => search.l.scope.checks[check] ?? [])
  const healthy = plan.hypotheses.length - 1
  return {
    minutes: { author: author.minutes, best: best.minutes },
    how: best.how,
    order: { author: checksOf(byAuthor.checks[healthy] ?? []), best: checksOf(byBest.checks[healthy] ?? []) },
    idle: checksOf([...met].filter(([, tells]) => !tells).map(([check]) => check)),
    ends: endsOf(search, byAuthor, counts),
  }
}

/** Causes only: what is not in the tree has no end of its own. Several ways to one cause are averaged. */
function endsOf({ l, plan, standing }: OrderSearch, followed: Run, counts: CauseCounts): EndCost[] {
  const all = standing.alive.reduce((sum, index) => sum + (plan.hypotheses[index]?.weight ?? 0), 0)
  return l.scope.causes.map((cause, number) => {
    const target: Target = { kind: 'cause', equipment: cause.equipment, cause: cause.slug }
    const ways = standing.alive.filter(index => plan.hypotheses[index]?.ownCause === number)
    const weight = ways.reduce((sum, index) => sum + (plan.hypotheses[index]?.weight ?? 0), 0)
    const mean = (of: (index: number) => number) =>
      ways.reduce((sum, index) => sum + of(index), 0) / Math.max(1, ways.length)
    return {
      target,
      share: all > 0 ? weight / all : 0,
      steps: mean(index => followed.checks[index]?.length ?? 0),
      minutes: mean(index => followed.minutes[index] ?? 0),
      found: foundIn(counts, targetKey(target)),
    }
  })
}

function foundIn(counts: CauseCounts, key: string): number {
  const levels = [counts.elsewhere, counts.site, counts.position, ...counts.units.map(unit => unit.counts)]
  return sumOf(new Map(levels.map((level, index) => [String(index), level.get(key) ?? 0])))
}
