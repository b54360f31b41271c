// What is missing at a depot, what hangs on it, and the minutes it costs a fault: by how much the walks grow longer where
// the checks that need it tell nothing.

import { refKey, refOf } from '../../knowledge/graph.ts'
import type { Check, Knowledge } from '../../knowledge/types.ts'
import type { Instrument } from '../../measurement/instruments/instrument.ts'
import { instrumentNeeds, purposeOf, unsuitable } from '../../measurement/instruments/suitability.ts'
import { namesOf } from '../../measurement/limits/expectation.ts'
import type { PositionFacts } from '../../walk/fit.ts'
import { authorPolicy } from '../ordering/author-order.ts'
import { type OrderSearch, searchOrder } from '../ordering/next-check.ts'
import { after, costOf, type Plan, parted, proven, type Standing, settled } from '../ordering/plan.ts'
import { type CauseCounts, countsFor, type PastFault } from '../ranking/cause-counts.ts'
import { rank } from '../ranking/rank.ts'
import { usualMinutes } from '../ranking/strengths.ts'

export interface Missing {
  kind: 'limit' | 'instrument' | 'fact'
  /** "drive current"; of an instrument what it would measure; of a fact its name. */
  name: string
  /** Slug of the kind of equipment it is of; null for an instrument, which measures on any. */
  equipment: string | null
  /** The checks that tell nothing without it, as `tree#check`. */
  checks: ReadonlySet<string>
  /** Part of the positions of that kind that lack it, 0 to 1. */
  part: number
}

export interface WorthOfMissing extends Missing {
  /** Expected minutes that it costs a fault of the depot, over all its faults. */
  minutes: number
}

/** How a depot's faults are made up. */
export interface TreeShare {
  tree: string
  /** Of all faults, 0 to 1. */
  share: number
  counts: CauseCounts
}

/** By what the depot closed; every tree that answers a symptom alike where it closed none. */
export function mixOf(knowledge: Knowledge, past: readonly PastFault[]): TreeShare[] {
  const trees = [...knowledge.trees.values()].filter(({ kind }) => kind === 'fault')
  const known = new Set(trees.map(({ slug }) => slug))
  const all = past.filter(({ tree }) => known.has(tree)).length
  return trees.flatMap(({ slug, equipment }) => {
    const mine = past.filter(({ tree }) => tree === slug).length
    const share = all > 0 ? mine / all : 1 / trees.length
    const anywhere = { siteId: '', positionId: '', reportedAt: '', units: [], conditions: {} }
    const counts = countsFor(past, { id: null, tree: slug, equipment, ...anywhere })
    return share > 0 ? [{ tree: slug, share, counts }] : []
  })
}

/** What costs most first; what costs nothing is left in, at 0. */
export function worthOfMissing(
  knowledge: Knowledge,
  mix: readonly TreeShare[],
  missing: readonly Missing[],
): WorthOfMissing[] {
  const searches = mix.flatMap(({ tree, share, counts }) => {
    const search = searchOrder(knowledge, tree, [], rank(knowledge, tree, [], counts), { budget: 0 })
    return search ? [{ search, share, whole: minutesWithout(search, new Set()) }] : []
  })
  return missing
    .map(one => {
      const minutes = searches.reduce((sum, { search, share, whole }) => {
        const touched = search.l.scope.checks.some(check => one.checks.has(keyOf(check)))
        const grown = touched ? minutesWithout(search, one.checks) - whole : 0
        return sum + share * Math.max(0, grown)
      }, 0)
      return { ...one, minutes: one.part * minutes }
    })
    .sort((a, b) => b.minutes - a.minutes)
}

function keyOf(check: Check): string {
  return refKey(refOf(check))
}

/**
 * Expected minutes to the end of the fault where some checks tell nothing: those of the checks in the tree's order, and
 * of repairs tried in vain among the causes that are left unparted, the ones most worth a try first.
 */
function minutesWithout(search: OrderSearch, checks: ReadonlySet<string>): number {
  const { l, standing, onward } = search
  const closed = search.plan.closed.map((is, check) => {
    const entry = l.scope.checks[check]
    return is || (entry !== undefined && checks.has(keyOf(entry)))
  })
  const hypotheses = search.plan.hypotheses.map(one => ({ ...one, cause: one.ownCause ?? one.cause }))
  const plan = settled({ ...search.plan, closed, hypotheses }, standing)
  const policy = authorPolicy(plan, search.order)
  let sum = 0
  const waiting = [standing]
  for (let here = waiting.pop(); here; here = waiting.pop()) {
    const check = proven(plan, here) ? -1 : policy(here)
    if (check < 0 || here.done[check]) {
      sum += triedInVain(search, here)
      continue
    }
    sum += costOf(plan, here, check) * weightOf(plan, here.alive)
    for (const row of parted(plan, here.alive, check).keys())
      waiting.push(after(plan, here, check, row, onward(check, row)))
  }
  const all = weightOf(plan, standing.alive)
  return all > 0 ? sum / all : 0
}

function weightOf({ hypotheses }: Plan, alive: readonly number[]): number {
  return alive.reduce((sum, index) => sum + (hypotheses[index]?.weight ?? 0), 0)
}

/** Minutes of repairs that mend nothing, times how likely they are: the cause most likely for its minutes first. */
function triedInVain({ l, plan }: OrderSearch, { alive }: Standing): number {
  const weights = new Map<number, number>()
  for (const index of alive) {
    const { cause, ownCause = cause, weight } = plan.hypotheses[index] ?? { cause: -1, weight: 0 }
    weights.set(ownCause, (weights.get(ownCause) ?? 0) + weight)
  }
  const minutesOf = (cause: number) => l.scope.causes[cause]?.minutes ?? usualMinutes.repair
  const tried = [...weights].filter(([cause]) => cause >= 0)
  tried.sort(([a, chanceOfA], [b, chanceOfB]) => chanceOfB * minutesOf(a) - chanceOfA * minutesOf(b))
  let before = 0
  let sum = 0
  for (const [cause, chance] of tried) {
    sum += chance * before
    before += minutesOf(cause)
  }
  return sum + (weights.get(-1) ?? 0) * before
}

/** Limits left blank: those of the equipment's table, and those that a check should have given itself. */
export function blankLimits(knowledge: Knowledge): Missing[] {
  return grouped(knowledge, check => {
    const { does } = check
    if (does.kind !== 'measure' || does.expectation !== null) return []
    return [{ kind: 'limit', name: does.limit ?? check.title, part: 1 }]
  })
}

/** What is measured with none of the instruments there are; each named by what it would have to do. */
export function instrumentsNotCarried(knowledge: Knowledge, instruments: readonly Instrument[]): Missing[] {
  return grouped(knowledge, check => {
    const { does } = check
    if (does.kind !== 'measure') return []
    const needs = instrumentNeeds(check.instrument, does.unit, null)
    const suits = instruments.some(one =>
      unsuitable(one, needs).every(({ severity }) => severity !== 'refuse'),
    )
    return suits ? [] : [{ kind: 'instrument', name: purposeOf(needs), part: 1 }]
  })
}

/** Facts that limits are worked out from and that positions lack; `positions` with what is on record of each. */
export function factsNotKnown(
  knowledge: Knowledge,
  positions: readonly { equipment: string; facts: PositionFacts }[],
): Missing[] {
  return grouped(knowledge, (check, equipment) => {
    const { does } = check
    if (does.kind !== 'measure' || does.expectation === null) return []
    const used = new Set(namesOf(does.expectation).map(name => name.toLowerCase()))
    const mine = positions.filter(position => position.equipment === equipment)
    const facts = knowledge.equipment.get(equipment)?.facts ?? []
    return facts.flatMap(({ name }) => {
      const lacking = mine.filter(({ facts: known }) => (known[name] ?? '').trim() === '').length
      if (!used.has(name.toLowerCase()) || lacking === 0) return []
      return [{ kind: 'fact' as const, name, part: lacking / mine.length }]
    })
  })
}

type Lacking = Pick<Missing, 'kind' | 'name' | 'part'>

/** One entry for each thing, with all its checks. */
function grouped(knowledge: Knowledge, lacks: (check: Check, equipment: string) => Lacking[]): Missing[] {
  const found = new Map<string, Missing & { checks: Set<string> }>()
  for (const { equipment, checks } of knowledge.trees.values()) {
    for (const check of checks.values()) {
      for (const lacking of lacks(check, equipment)) {
        const of = lacking.kind === 'instrument' ? null : equipment
        const key = `${lacking.kind} ${of} ${lacking.name}`
        const entry = found.get(key) ?? { ...lacking, equipment: of, checks: new Set<string>() }
        found.set(key, entry)
        entry.checks.add(keyOf(check))
      }
    }
  }
  return [...found.values()]
}
