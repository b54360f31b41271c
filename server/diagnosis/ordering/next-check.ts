// Which check next: the author's, and beside it the one that
// gets to the proven cause sooner, if there is one.

import { causeKey, refKey, refOf } from '../../knowledge/graph.ts'
import type { Check, FaultTree, Knowledge } from '../../knowledge/types.ts'
import { walk } from '../../walk/place.ts'
import type { Finding } from '../../walk/record.ts'
import { evidenceOf, rejectionsIn, stillTelling } from '../ranking/evidence.ts'
import { type Likelihood, likelihoodOf } from '../ranking/likelihood.ts'
import type { Ranking } from '../ranking/rank.ts'
import { worthSuggesting } from '../ranking/strengths.ts'
import { authorPolicy, notYet } from './author-order.ts'
import { leastMinutes } from './bound.ts'
import { byAuthor } from './choices.ts'
import { exactOrder } from './exact.ts'
import { lookAheadIn, lookAheadPolicy } from './look-ahead.ts'
import { savedOutOfOrder } from './out-of-order.ts'
import { type Policy, proven } from './plan.ts'
import { planOf, type TreePlan } from './plan-of-tree.ts'
import type { Onward } from './run.ts'
import { neededWords, suggestionWords } from './suggestion-words.ts'
import { following, type Sweep, sweepOf, weightIn } from './sweep.ts'
import { usualOrder } from './usual-order.ts'

export interface NextCheck {
  /** The author's next check: the default. null at a cause or an end. */
  author: Check | null
  /** A check that gets to the cause sooner, or null when none is worth leaving the author's order for. */
  suggestion: Suggestion | null
  /**
   * `exact`: the best order there is, by this reckoning.
   * `look-ahead`: a good one; `least` says how good at worst.
   */
  how: 'exact' | 'look-ahead'
  /** Expected minutes to the proven cause from here. */
  minutes: { author: number; suggested: number; least: number }
  /** Whether the cause is proven, as far as checks can. */
  proven: boolean
  /** How the order was found and how good it is at least, in a sentence. */
  words: string
}

export interface Suggestion {
  check: Check
  /** Expected minutes saved against the author's order. */
  saves: number
  /** "Contact resistance first: about 9 minutes sooner here." */
  words: string
  reason: string
  /**
   * Cautions that go with the check's tree, when it is another
   * tree: to be shown before the suggestion is taken.
   */
  cautions: string[]
}

export interface NextOptions {
  intermittent?: boolean
  /** Nothing may be disturbed until an engineer says so. */
  hold?: boolean
  /** Checks, as `tree#check`, whose disturbance has been put back. */
  putBack?: Iterable<string>
  /** States the exact search may meet before it gives way to the look-ahead. */
  budget?: number
}

/** States the exact search meets at most for a page. */
export const usualBudget = 250

/**
 * What to check next in a tree (a slug); null when the
 * knowledge has no such tree. `ranking` is that of `rank`.
 */
export function nextCheck(
  knowledge: Knowledge,
  tree: string,
  findings: Finding[],
  ranking: Ranking,
  options: NextOptions = {},
): NextCheck | null {
  const search = searchOrder(knowledge, tree, findings, ranking, options)
  if (!search) return null
  const { l, plan, standing, author, best } = search
  const least = best.how === 'exact' ? best.minutes : Math.min(best.minutes, leastMinutes(plan, standing))
  return {
    author: search.ended ? null : (l.scope.checks[search.notYet ? standing.at : author.first] ?? null),
    suggestion: suggestionIn(knowledge, search),
    how: best.how,
    minutes: { author: author.minutes, suggested: best.minutes, least },
    proven: search.isProven,
    words: howWords(best.how, best.minutes - least),
  }
}

/** None on a maintenance round: nothing is wrong there, and every check is due. */
function suggestionIn(knowledge: Knowledge, search: OrderSearch): Suggestion | null {
  const { l, plan, standing, author, best } = search
  if (l.scope.tree.kind === 'round') return null
  if (search.notYet) return neededFirst(knowledge, search, search.notYet)
  const check = l.scope.checks[best.first]
  const saves = author.minutes - best.minutes
  if (!check || best.first === author.first) return null
  if (savedOutOfOrder(l, plan, standing, best.first, saves) < worthSuggesting) return null
  const cautions = cautionsOf(knowledge, l.scope.tree, check)
  return { check, saves, cautions, ...suggestionWords(l.scope, plan, standing, best.first, saves) }
}

/** However many minutes it saves or costs: the check the walk stands at may not be done yet. */
function neededFirst(
  knowledge: Knowledge,
  { l, standing, author, best }: OrderSearch,
  why: 'needs' | 'barred',
): Suggestion | null {
  const check = l.scope.checks[why === 'needs' ? author.first : best.first]
  if (!check) return null
  const cautions = cautionsOf(knowledge, l.scope.tree, check)
  const saves = Math.max(0, author.minutes - best.minutes)
  return { check, saves, cautions, ...neededWords(check, l.scope.checks[standing.at], why) }
}

/**
 * What the technician has not been shown yet: the cautions of another tree, and of another kind of equipment.
 */
function cautionsOf(knowledge: Knowledge, shown: FaultTree, check: Check): string[] {
  const tree = knowledge.trees.get(check.tree)
  if (!tree || tree.slug === shown.slug) return []
  const equipment = tree.equipment === shown.equipment ? null : knowledge.equipment.get(tree.equipment)
  return [...(equipment?.cautions ?? []), ...tree.cautions]
}

/** A tree as it stands, the author's order from here, and the best order found. */
export interface OrderSearch extends TreePlan {
  l: Likelihood
  isProven: boolean
  /** The walk stands at a cause or an end. */
  ended: boolean
  /** Why the check the walk stands at may not be done yet, or null. */
  notYet: 'needs' | 'barred' | null
  onward: Onward
  author: { policy: Policy; first: number; minutes: number }
  best: { policy: Policy; first: number; minutes: number; how: 'exact' | 'look-ahead' }
}

export function searchOrder(
  knowledge: Knowledge,
  tree: string,
  findings: Finding[],
  ranking: Ranking,
  options: NextOptions = {},
): OrderSearch | null {
  const l = likelihoodOf(knowledge, tree)
  if (!l) return null
  const { place } = walk(knowledge, tree, findings)
  const rejected = rejectionsIn(findings)
  const treePlan = planOf(knowledge, l, {
    weights: new Map(ranking.causes.map(({ cause, probability }) => [causeKey(cause), probability])),
    outside: ranking.outside.probability,
    evidence: stillTelling(l, evidenceOf(l.scope, findings), rejected),
    rejected: new Set(rejected.keys()),
    intermittent: options.intermittent ?? false,
    hold: options.hold ?? false,
    putBack: new Set(options.putBack ?? []),
    at: place.kind === 'check' ? (l.scope.checkAt.get(refKey(refOf(place.check))) ?? -1) : -1,
  })
  treePlan.order.planned = usualOrder(knowledge, l)
  const ended = place.kind === 'cause' || place.kind === 'end'
  const waits = notYet(treePlan.plan, treePlan.standing)
  return { l, ...treePlan, ended, notYet: waits, ...ordersOf(treePlan, options.budget ?? usualBudget) }
}

function ordersOf({ plan, standing, order }: TreePlan, budget: number) {
  const onward: Onward = (check, row) => order.onward[check]?.[row] ?? -1
  const policy = authorPolicy(plan, order)
  if (proven(plan, standing)) {
    const nothing = { policy, first: -1, minutes: 0 }
    return { onward, isProven: true, author: nothing, best: { ...nothing, how: 'exact' as const } }
  }
  const sweep = sweepOf(plan, standing, order)
  const author = { policy, first: policy(standing), minutes: authorMinutes(sweep, standing.at) }
  return { onward, isProven: false, author, best: bestOf({ plan, standing, order }, sweep, author, budget) }
}

function authorMinutes(sweep: Sweep, at: number): number {
  const weight = weightIn(sweep, 0, sweep.alive.length)
  return weight > 0 ? following(byAuthor)(sweep, 0, sweep.alive.length, at, -1) / weight : 0
}

/** A sooner order than the good one, where the tree is small enough to look through all; else the good one. */
function bestOf(
  { plan, standing, order }: TreePlan,
  sweep: Sweep,
  author: OrderSearch['author'],
  budget: number,
): OrderSearch['best'] {
  const ahead = lookAheadIn(sweep, standing.at)
  const sure = Math.min(author.minutes, ahead.expected) - 1e-9
  const exact = exactOrder(plan, standing, budget, sure)
  if (exact && exact !== 'none sooner' && Number.isFinite(exact.expected)) {
    return { policy: exact.policy, first: exact.policy(standing), minutes: exact.expected, how: 'exact' }
  }
  const how = exact ? 'exact' : 'look-ahead'
  if (exact && author.minutes <= ahead.expected + 1e-9) return { ...author, how }
  return { policy: lookAheadPolicy(plan, order), first: ahead.first, minutes: ahead.expected, how }
}

function howWords(how: 'exact' | 'look-ahead', gap: number): string {
  if (how === 'exact') return 'All orders were weighed.'
  return `The tree is too large to weigh all orders; no order can be more than ${Math.ceil(gap)} minutes sooner than this.`
}
