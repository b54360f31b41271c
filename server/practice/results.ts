// What became of many hidden faults: reached, left open, wrong, or called healthy.

import { causeKey } from '../knowledge/graph.ts'
import type { Knowledge } from '../knowledge/types.ts'
import type { Chance } from './chance.ts'
import { type Arrival, walkRobot } from './robot.ts'
import { drawCause, type Hidden, hide } from './worlds.ts'

/** `open`: no fault found, passed on, not tested, or stuck at a check. */
export type Outcome = 'reached' | 'open' | 'wrong' | 'false healthy'

export interface Result {
  tree: string
  cause: string
  outcome: Outcome
  /** Where the walk ended, in words. */
  ended: string
  path: string[]
  unknown: string[]
}

export function outcomeOf(arrival: Arrival, cause: string): Outcome {
  if (arrival.kind === 'cause') return arrival.cause === cause ? 'reached' : 'wrong'
  return arrival.kind === 'end' && arrival.end.means === 'healthy' ? 'false healthy' : 'open'
}

function endWords(arrival: Arrival): string {
  switch (arrival.kind) {
    case 'cause':
      return arrival.cause
    case 'end':
      return `${arrival.end.means}: ${arrival.end.title}`
    case 'stuck':
      return `stuck at ${arrival.check.tree}#${arrival.check.slug}: ${arrival.why}`
  }
}

/**
 * `count` faults of a tree, causes drawn by their shares. A cause that never shows itself as the symptom is in `unseen`
 * and not in `results`.
 */
export function tryTree(
  knowledge: Knowledge,
  tree: string,
  count: number,
  chance: Chance,
): { results: Result[]; unseen: Set<string> } {
  const results: Result[] = []
  const unseen = new Set<string>()
  while (results.length < count) {
    const drawn = drawCause(knowledge, tree, chance, unseen)
    if (!drawn) break
    const cause = causeKey(drawn)
    const hidden = hide(tree, cause, chance)
    if (hidden) results.push(resultOf(knowledge, hidden, chance))
    else unseen.add(cause)
  }
  return { results, unseen }
}

/** One fault with a cause in a tree; null where it never shows itself as the symptom. Throws for an unknown cause. */
export function tryCause(knowledge: Knowledge, tree: string, cause: string, chance: Chance): Result | null {
  const hidden = hide(tree, cause, chance)
  return hidden && resultOf(knowledge, hidden, chance)
}

function resultOf(knowledge: Knowledge, hidden: Hidden, chance: Chance): Result {
  const { arrival, path, unknown } = walkRobot(knowledge, hidden, chance)
  const { tree, cause } = hidden
  return { tree, cause, path, unknown, outcome: outcomeOf(arrival, cause), ended: endWords(arrival) }
}

/** Share of the results with an outcome, 0 to 1; NaN of none. */
export function shareOf(results: Result[], outcome: Outcome): number {
  return results.filter(one => one.outcome === outcome).length / results.length
}
