// What to take and arrange before leaving the depot, for a reported fault.

import { causeKey } from '../../knowledge/graph.ts'
import type { Check, Equipment, Knowledge } from '../../knowledge/types.ts'
import { fittingVariants, type PositionFacts } from '../../walk/fit.ts'
import type { CauseCounts } from '../ranking/cause-counts.ts'
import { type RankedCause, rank } from '../ranking/rank.ts'
import { type NextOptions, searchOrder } from './next-check.ts'
import { run } from './run.ts'

export interface BeforeLeaving {
  /** Most likely first; as few as make up nine tenths, five at most. */
  causes: RankedCause[]
  /** Chance that it is something not in this tree. */
  outside: number
  spares: Spare[]
  /** What is measured on the way, so that the instruments for it are taken. */
  instruments: { words: string; chance: number }[]
  access: { name: string; needs: string | null; minutes: number; chance: number }[]
  /** What checks need first, in the author's words. */
  needs: { words: string; chance: number }[]
}

export interface Spare {
  kind: string
  /** Variants that may be fitted at this position; empty when none on record may. */
  variants: string[]
  /** Chance that one will be needed, 0 to 1. */
  chance: number
  causes: string[]
}

/** Chances by the author's order from the start. Below this a thing is left off the card. */
const worthTaking = 0.01

/** null when the knowledge has no such tree. `facts` are those of the position, by name. */
export function beforeLeaving(
  knowledge: Knowledge,
  tree: string,
  history: CauseCounts,
  facts: PositionFacts,
  options: NextOptions = {},
): BeforeLeaving | null {
  const ranking = rank(knowledge, tree, [], history, options)
  const search = searchOrder(knowledge, tree, [], ranking, options)
  if (!search) return null
  const { plan, standing, onward, l } = search
  const followed = run(plan, standing, search.author.policy, onward)
  const all = standing.alive.reduce((sum, index) => sum + (plan.hypotheses[index]?.weight ?? 0), 0)
  const come = (use: (check: Check) => boolean) =>
    standing.alive.reduce((sum, index) => {
      const met = (followed.checks[index] ?? []).some(check => {
        const entry = l.scope.checks[check]
        return entry !== undefined && use(entry)
      })
      return met ? sum + (plan.hypotheses[index]?.weight ?? 0) / (all > 0 ? all : 1) : sum
    }, 0)
  return {
    causes: mostLikely(ranking.causes),
    outside: ranking.outside.probability,
    spares: sparesFor(knowledge, ranking.causes, facts),
    instruments: listed(l.scope.checks, measured, come),
    access: accessFor(knowledge, l.scope.checks, come),
    needs: listed(l.scope.checks, check => check.needs, come),
  }
}

function mostLikely(causes: RankedCause[]): RankedCause[] {
  const shown: RankedCause[] = []
  let sum = 0
  for (const cause of causes) {
    if (sum >= 0.9 || shown.length === 5) break
    shown.push(cause)
    sum += cause.probability
  }
  return shown
}

function sparesFor(knowledge: Knowledge, causes: RankedCause[], facts: PositionFacts): Spare[] {
  const spares = new Map<string, Spare>()
  for (const { cause, probability } of causes) {
    const equipment = knowledge.equipment.get(cause.equipment)
    if (cause.replace === null || !equipment) continue
    const key = `${cause.equipment}/${cause.replace}`
    const spare = spares.get(key)
    spares.set(key, {
      kind: cause.replace,
      variants: spare?.variants ?? variantsFor(equipment, facts, cause.replace),
      chance: (spare?.chance ?? 0) + probability,
      causes: [...(spare?.causes ?? []), causeKey(cause)],
    })
  }
  return [...spares.values()].filter(spare => spare.chance >= worthTaking).sort((a, b) => b.chance - a.chance)
}

function variantsFor(equipment: Equipment, facts: PositionFacts, kind: string): string[] {
  return fittingVariants(equipment, facts, kind)
    .filter(({ unit, fit }) => fit.ok && !unit.superseded)
    .map(({ unit }) => unit.variant)
}

/** "supply voltage (V AC)" */
function measured(check: Check): string[] {
  return check.does.kind === 'measure' ? [`${check.does.quantity} (${check.does.unit})`] : []
}

type Chance = (use: (check: Check) => boolean) => number

function listed(
  checks: Check[],
  of: (check: Check) => string[],
  come: Chance,
): { words: string; chance: number }[] {
  const words = new Set(checks.flatMap(of))
  return [...words]
    .map(item => ({ words: item, chance: come(check => of(check).includes(item)) }))
    .filter(item => item.chance >= worthTaking)
    .sort((a, b) => b.chance - a.chance)
}

function accessFor(knowledge: Knowledge, checks: Check[], come: Chance): BeforeLeaving['access'] {
  const ways = new Map<string, BeforeLeaving['access'][number]>()
  for (const { tree, access } of checks) {
    const equipment = knowledge.equipment.get(knowledge.trees.get(tree)?.equipment ?? '')
    const way = equipment?.access.find(item => item.name === access)
    if (!way || ways.has(way.name)) continue
    const chance = come(check => check.access === way.name)
    if (chance >= worthTaking)
      ways.set(way.name, { name: way.name, needs: way.needs, minutes: way.minutes, chance })
  }
  return [...ways.values()].sort((a, b) => b.chance - a.chance)
}
