// A suspected cause held against the record: what speaks for it, what else is still possible, what could prove it wrong.

import { causeKey } from '../../knowledge/graph.ts'
import type { Check, Knowledge } from '../../knowledge/types.ts'
import type { Finding } from '../../walk/record.ts'
import { evidenceOf, rejectionsIn } from './evidence.ts'
import { agreement } from './hypotheses.ts'
import { agreesWith, type Likelihood, likelihoodOf } from './likelihood.ts'
import type { RankedCause, Ranking } from './rank.ts'
import { chances, usualMinutes } from './strengths.ts'

export interface Suspicion {
  /** Unhealthy findings that this cause shows. */
  pointing: Finding[]
  /** Findings that speak against it. */
  against: Finding[]
  /** Other causes that nothing found rules out, most likely first. */
  alive: RankedCause[]
  /**
   * Checks not done that tell this cause from others still alive, the one that tells it from most likelihood a minute
   * first.
   */
  couldProveWrong: Check[]
}

/** `cause` is `equipment/cause`; null when it is not among the causes of the tree (a slug). */
export function suspicionOf(
  knowledge: Knowledge,
  tree: string,
  findings: Finding[],
  ranking: Ranking,
  cause: string,
): Suspicion | null {
  const l = likelihoodOf(knowledge, tree)
  const index = l?.scope.causeAt.get(cause)
  if (!l || index === undefined) return null
  const told = evidenceOf(l.scope, findings).filter(item => item.weights)
  const agrees = told.filter(item => agreement(l, item, index, ranking.flattened) >= chances.agrees)
  const pointing = agrees.filter(item => item.row !== l.healthy[item.check])
  const against = told.filter(item => !agrees.includes(item)).map(item => item.finding as Finding)
  const rejection = rejectionsIn(findings).get(cause)
  const alive = ranking.causes.filter(other => causeKey(other.cause) !== cause && other.ruledOutBy === null)
  const done = new Set(evidenceOf(l.scope, findings).map(item => item.check))
  return {
    pointing: pointing.map(item => item.finding),
    against: rejection ? [...against, rejection] : against,
    alive,
    couldProveWrong: tellingApart(l, index, alive, done),
  }
}

function tellingApart(l: Likelihood, cause: number, alive: RankedCause[], done: Set<number>): Check[] {
  return l.scope.checks
    .map((check, index) => ({ check, index, gain: done.has(index) ? 0 : gainOf(l, index, cause, alive) }))
    .filter(({ gain }) => gain > 0)
    .map(item => ({ ...item, rate: item.gain / Math.max(0.1, item.check.minutes ?? usualMinutes.check) }))
    .sort((a, b) => b.rate - a.rate || a.index - b.index)
    .map(({ check }) => check)
}

/** How likely the other causes are that would show something else at this check. */
function gainOf(l: Likelihood, check: number, cause: number, alive: RankedCause[]): number {
  const rows = l.scope.checks[check]?.rows ?? []
  return alive.reduce((sum, other) => {
    const index = l.scope.causeAt.get(causeKey(other.cause)) ?? -1
    const shared = rows.some((_, row) => agreesWith(l, check, cause, row) && agreesWith(l, check, index, row))
    return shared ? sum : sum + other.probability
  }, 0)
}
