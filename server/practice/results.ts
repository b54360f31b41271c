// What became of many hidden faults: reached, left open, wrong, or called healthy.

import { causeKey } from '../knowledge/graph.ts'
import type { Knowledge } from '../knowledge/types.ts'
import type { Chance } from './chance.ts'
import { type Arrival, walkRobot } from './robot.ts'
import { drawCause, hide } from './worlds.ts'

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
  for (let turn = 0; turn < count; turn++) {
    const drawn = drawCause(knowledge, tree, chance)
    if (!drawn) break
    const cause = causeKey(drawn)
    const hidden = unseen.has(cause) ? null : hide(tree, cause, chance)
    if (!hidden) {
      unseen.add(cause)
      continue
    }
    const { arrival, path, unknown } = walkRobot(knowledge, hidden, chance)
    results.push({
      ...{ tree, cause, path, unknown },
      outcome: outcomeOf(arrival, cause),
      ended: endWords(arrival),
    })
  }
  return { results, unseen }
}

/** Share of the results with an outcome, 0 to 1; NaN of none. */
export function shareOf(results: Result[], outcome: Outcome): number {
  return results.filter(one => one.outcome === outcome).length / results.length
}
