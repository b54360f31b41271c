// Which limits there are, which of them are their owner's, and what each decides.

import { memo } from '../cache.ts'
import { findUnit } from '../measurement/readings/units.ts'
import { causeKey } from './graph.ts'
import type { Cause, Check, Equipment, FaultTree, Knowledge, Limit } from './types.ts'

/** 'owner': a value of its owner's; 'demo': made up; 'blank': readings are recorded and get no verdict. */
export type LimitState = 'owner' | 'demo' | 'blank'

export interface LimitUse {
  kit: Equipment
  limit: Limit
  state: LimitState
  /** Those that are judged by it, or tell by it how little is as good as nothing. */
  checks: Check[]
  trees: FaultTree[]
  /** Whose repair is proved by one of those checks. */
  causes: Cause[]
}

export function limitState({ expectation, demo }: Pick<Limit, 'expectation' | 'demo'>): LimitState {
  if (expectation === null) return 'blank'
  return demo ? 'demo' : 'owner'
}

/** Every limit of every kind of equipment, in the order of the files. */
export const limitUses = memo((knowledge: Knowledge): LimitUse[] =>
  [...knowledge.equipment.values()].flatMap(kit => {
    const trees = [...knowledge.trees.values()].filter(tree => tree.equipment === kit.slug)
    return kit.limits.map(limit => {
      const checks = trees.flatMap(tree =>
        [...tree.checks.values()].filter(check => isJudgedBy(check, limit)),
      )
      const refs = new Set(checks.map(check => `${check.tree} ${check.slug}`))
      const causes = [...kit.causes.values()].filter(cause =>
        cause.prove.some(({ tree, check }) => refs.has(`${tree} ${check}`)),
      )
      const ofChecks = trees.filter(tree => checks.some(check => check.tree === tree.slug))
      return { kit, limit, state: limitState(limit), checks, trees: ofChecks, causes: unique(causes) }
    })
  }),
)

function unique(causes: Cause[]): Cause[] {
  return [...new Map(causes.map(cause => [causeKey(cause), cause])).values()]
}

function isJudgedBy({ does }: Check, { name, role, unit }: Limit): boolean {
  if (does.kind !== 'measure') return false
  if (does.limit === name) return true
  return role === 'nothing' && does.nothing !== null && findUnit(unit)?.base === findUnit(does.unit)?.base
}

/** How many limits are made up: those of equipment, and those that a check states for itself. */
export const demoLimits = memo((knowledge: Knowledge): number => {
  const ofKits = limitUses(knowledge).filter(({ state }) => state === 'demo').length
  const ofChecks = [...knowledge.trees.values()].flatMap(tree =>
    [...tree.checks.values()].filter(
      ({ does }) => does.kind === 'measure' && does.limit === null && does.demo,
    ),
  )
  return ofKits + ofChecks.length
})
