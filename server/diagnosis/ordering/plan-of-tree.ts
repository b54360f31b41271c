// The plan of a fault tree as it stands: what may be wrong,
// what each check would show, and what is done already.

import { causeKey } from '../../knowledge/graph.ts'
import type { Knowledge } from '../../knowledge/types.ts'
import type { Evidence } from '../ranking/evidence.ts'
import type { Likelihood } from '../ranking/likelihood.ts'
import type { Scope } from '../ranking/scope.ts'
import { chances, usualMinutes } from '../ranking/strengths.ts'
import type { AuthorOrder } from './author-order.ts'
import { constraintsOf, keyOfCheck } from './constraints.ts'
import { type Plan, type Standing, settled } from './plan.ts'

export interface TreePlan {
  plan: Plan
  standing: Standing
  order: AuthorOrder
}

export interface PlanInput {
  /** Probability of each cause by `equipment/cause`; those left out count as 0. */
  weights: ReadonlyMap<string, number>
  outside: number
  evidence: Evidence[]
  /** Causes ruled out, by key. */
  rejected: ReadonlySet<string>
  intermittent: boolean
  /** Nothing may be disturbed until an engineer says so. */
  hold: boolean
  /** Checks, as `tree#check`, whose disturbance is put back. */
  putBack: ReadonlySet<string>
  /** Index of the check the walk stands at, or -1. */
  at: number
}

/**
 * The plan from where the findings stand. When they agree with no cause, every cause not ruled out stays in.
 */
export function planOf(knowledge: Knowledge, l: Likelihood, input: PlanInput): TreePlan {
  const { scope } = l
  const { access, accessMinutes } = accessOf(knowledge, scope)
  const { prerequisites, barredBy, gates } = constraintsOf(knowledge, l)
  const entered = treesEntered(scope, input)
  const back = (check: number) => input.putBack.size > 0 && input.putBack.has(keyAt(scope, check))
  const plan: Plan = {
    minutes: scope.checks.map(check => check.minutes ?? usualMinutes.check),
    access,
    accessMinutes,
    prerequisites,
    barredBy: barredBy.map(list => list.filter(check => !back(check))),
    closed: scope.checks.map(check => input.hold && check.disturbs !== null),
    gates: gates.map((gate, check) => (entered.has(scope.checks[check]?.tree ?? '') ? null : gate)),
    hypotheses: hypothesesOf(l, input),
  }
  const done = new Uint8Array(scope.checks.length)
  const opened = new Uint8Array(accessMinutes.length)
  for (const { check } of input.evidence) {
    done[check] = 1
    const used = access[check] ?? -1
    if (used >= 0) opened[used] = 1
  }
  const standing: Standing = { done, opened, at: input.at, alive: aliveIn(l, plan, input) }
  return { plan: settled(plan, standing), standing, order: orderOf(scope, input.evidence) }
}

/** The trees the walk has been in, and those that what was found leads to. */
function treesEntered(scope: Scope, { evidence, at }: PlanInput): Set<string> {
  const led = evidence.map(({ check, row }) => scope.onward[check]?.[row] ?? -1)
  const checks = [at, ...evidence.map(({ check }) => check), ...led]
  return new Set(checks.map(check => scope.checks[check]?.tree ?? ''))
}

function keyAt(scope: Scope, check: number): string {
  const entry = scope.checks[check]
  return entry ? keyOfCheck(entry) : ''
}

function accessOf(knowledge: Knowledge, scope: Scope): { access: number[]; accessMinutes: number[] } {
  const numbers = new Map<string, number>()
  const accessMinutes: number[] = []
  const access = scope.checks.map(check => {
    if (check.access === null) return -1
    const equipment = knowledge.trees.get(check.tree)?.equipment ?? ''
    const key = `${equipment}/${check.access}`
    const cached = numbers.get(key)
    if (cached !== undefined) return cached
    numbers.set(key, accessMinutes.length)
    const access = knowledge.equipment.get(equipment)?.access.find(way => way.name === check.access)
    return accessMinutes.push(access?.minutes ?? 0) - 1
  })
  return { access, accessMinutes }
}

function orderOf(scope: Scope, evidence: Evidence[]): AuthorOrder {
  const rows = new Int32Array(scope.checks.length).fill(-1)
  for (const { check, row } of evidence) rows[check] = row
  return {
    start: scope.checkAt.get(`${scope.tree.start.tree}#${scope.tree.start.check}`) ?? -1,
    onward: scope.onward,
    rowsFound: rows,
    planned: null,
  }
}

interface Way {
  cause: number
  rows: Int16Array
  proofs: number[]
}

const waysKnown = new WeakMap<Likelihood, Way[]>()

function hypothesesOf(l: Likelihood, input: PlanInput): Plan['hypotheses'] {
  return waysOf(l).map(way => ({ ...way, weight: way.cause < 0 ? input.outside : 0 }))
}

/**
 * Each way to each cause as a hypothesis of its own, and the outside, under which everything here is healthy.
 */
function waysOf(l: Likelihood): Way[] {
  const cached = waysKnown.get(l)
  if (cached) return cached
  const { scope } = l
  const usual = scope.checks.map((_, check) => usualRow(l, check))
  const ways = scope.causes.flatMap((_, cause) => {
    const ways = scope.ways[cause] ?? []
    return (ways.length > 0 ? ways : [new Map<number, number>()]).map(path => wayOf(l, usual, cause, path))
  })
  const all = [...ways, { cause: -1, rows: Int16Array.from(usual), proofs: [] }]
  waysKnown.set(l, all)
  return all
}

function wayOf(l: Likelihood, usual: number[], cause: number, path: Map<number, number>): Way {
  const { scope } = l
  const rows = Int16Array.from(
    scope.checks,
    (_, check) => path.get(check) ?? shownRow(l, usual, cause, check),
  )
  const proofs = scope.checks.flatMap((_, check) =>
    scope.names[check]?.[rows[check] ?? -1] === cause ? [check] : [],
  )
  return { cause, rows, proofs }
}

/** The row a check shows that is not on the way itself: one towards the cause, else the usual one. */
function shownRow(l: Likelihood, usual: number[], cause: number, check: number): number {
  const reaches = l.scope.reaches[check] ?? []
  const towards = reaches.findIndex((reach, row) => l.scope.tells[check]?.[row] && reach[cause] === 1)
  return towards >= 0 ? towards : (usual[check] ?? 0)
}

/** The healthy row; where the tree does not say which, the row behind which most causes lie. */
function usualRow(l: Likelihood, check: number): number {
  const healthy = l.healthy[check] ?? -1
  if (healthy >= 0) return healthy
  const counts = (l.scope.reaches[check] ?? []).map((reach, row) =>
    l.scope.tells[check]?.[row] ? reach.reduce((sum, value) => sum + value, 0) : -1,
  )
  return counts.indexOf(Math.max(...counts))
}

/** The hypotheses that agree with what was found, with each cause's weight shared among its ways that do. */
function aliveIn(l: Likelihood, plan: Plan, input: PlanInput): number[] {
  const kept = plan.hypotheses.flatMap((hypothesis, index) =>
    hypothesis.cause >= 0 && goesWith(l, hypothesis, input) ? [index] : [],
  )
  const possible = plan.hypotheses.flatMap((hypothesis, index) =>
    hypothesis.cause >= 0 && !isRejected(l, hypothesis.cause, input) ? [index] : [],
  )
  const alive = kept.length > 0 ? kept : possible
  const ways = new Map<number, number>()
  for (const index of alive) {
    const cause = plan.hypotheses[index]?.cause ?? -1
    ways.set(cause, (ways.get(cause) ?? 0) + 1)
  }
  for (const index of alive) {
    const hypothesis = plan.hypotheses[index]
    const cause = l.scope.causes[hypothesis?.cause ?? -1]
    if (!hypothesis || !cause) continue
    hypothesis.weight = (input.weights.get(causeKey(cause)) ?? 0) / (ways.get(hypothesis.cause) ?? 1)
  }
  return [...alive, plan.hypotheses.length - 1]
}

function goesWith(l: Likelihood, hypothesis: { cause: number; rows: Int16Array }, input: PlanInput): boolean {
  if (isRejected(l, hypothesis.cause, input)) return false
  return input.evidence.every(({ check, weights }) => {
    if (!weights) return true
    const healthy = l.healthy[check] ?? -1
    const weight = weights[hypothesis.rows[check] ?? -1] ?? 0
    const hidden = input.intermittent ? (healthy >= 0 ? (weights[healthy] ?? 0) : 1) : 0
    return Math.max(weight, hidden) >= chances.agrees
  })
}

function isRejected(l: Likelihood, index: number, input: PlanInput): boolean {
  const cause = l.scope.causes[index]
  return cause !== undefined && input.rejected.has(causeKey(cause))
}
