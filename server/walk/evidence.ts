// What speaks for a cause, what could speak against it, and which others are not out of the running.

import {
  causeKey,
  findCauseByKey,
  findCheck,
  reachable,
  refKey,
  refOf,
  targetKey,
} from '../knowledge/graph.ts'
import type { Cause, Check, Knowledge, Target } from '../knowledge/types.ts'
import type { CheckStep, Walk } from './place.ts'
import type { FaultRecord } from './record.ts'

export interface Evidence {
  /** The steps that led here, in order. */
  supports: CheckStep[]
  /**
   * Checks not done yet that could prove the cause wrong: those
   * the repair is proved by, and other ways to it.
   */
  couldDisprove: Check[]
  alive: AliveCause[]
}

export interface AliveCause {
  cause: Cause
  /** The finding that keeps it in the running, in words. */
  because: string
}

/** For the cause where the walk stands; null elsewhere. */
export function evidenceFor(knowledge: Knowledge, walk: Walk, record: FaultRecord): Evidence | null {
  if (walk.place.kind !== 'cause') return null
  const cause = causeKey(walk.place.cause)
  const { tree } = record.fault
  const taken = new Map(checkSteps(walk).map(step => [keyOf(step.check), step]))
  return {
    supports: supporting(knowledge, walk, cause),
    couldDisprove: couldDisprove(knowledge, tree, taken, cause),
    alive: alive(knowledge, tree, walk, taken, cause),
  }
}

function checkSteps(walk: Walk): CheckStep[] {
  return walk.path.filter(step => step.kind === 'check')
}

/** A step supports a cause when the row taken leads on to it. */
function supporting(knowledge: Knowledge, walk: Walk, cause: string): CheckStep[] {
  return checkSteps(walk).filter(step => step.row !== null && leadsTo(knowledge, step.row.next, cause))
}

function leadsTo(knowledge: Knowledge, from: Target, goal: string): boolean {
  return spread(from, target => onwardRows(knowledge, target)).has(goal)
}

function couldDisprove(
  knowledge: Knowledge,
  tree: string,
  taken: Map<string, CheckStep>,
  cause: string,
): Check[] {
  const proving =
    findCauseByKey(knowledge, cause)?.prove.flatMap(ref => findCheck(knowledge, ref) ?? []) ?? []
  const start = knowledge.trees.get(tree)
  const others = start
    ? reachable(knowledge, start).checks.filter(check => decides(knowledge, check, cause))
    : []
  return [...new Set([...proving, ...others])].filter(check => !taken.has(keyOf(check)))
}

/** Some of the check's rows lead to the cause and some do not. */
function decides(knowledge: Knowledge, check: Check, cause: string): boolean {
  const leads = check.rows.map(row => leadsTo(knowledge, row.next, cause))
  return leads.includes(true) && leads.includes(false)
}

/**
 * Causes the findings have not ruled out for certain: the tree is walked from its start by every row of a
 * check not done or not sure, and by the taken row alone of a check that was sure.
 */
function alive(
  knowledge: Knowledge,
  tree: string,
  walk: Walk,
  taken: Map<string, CheckStep>,
  cause: string,
): AliveCause[] {
  const start = knowledge.trees.get(tree)?.start
  if (!start) return []
  const from: Target = { kind: 'check', ...start }
  const doubts = new Map<string, string>()
  const met = spread(from, (target, key) => {
    const step = taken.get(key)
    const doubt = (step ? doubtOf(step) : null) ?? doubts.get(key) ?? null
    const next = step?.row && !doubtOf(step) ? [step.row.next] : onwardRows(knowledge, target)
    for (const one of next) if (doubt && !doubts.has(targetKey(one))) doubts.set(targetKey(one), doubt)
    return next
  })
  return [...met].flatMap(key => {
    const other = key === cause || walk.rejected.includes(key) ? null : findCauseByKey(knowledge, key)
    return other ? [{ cause: other, because: doubts.get(key) ?? 'No check on the way to it was done.' }] : []
  })
}

/** Why the row taken at this step may be wrong, or null when it is sure enough. */
function doubtOf(step: CheckStep): string | null {
  const { finding, check } = step
  if (finding.kind === 'cannot tell') return `“${check.title}” could not be told.`
  if (step.row === null) return `“${check.title}” has no answer yet.`
  if (step.deviation || step.judgement) return `The answer at “${check.title}” was a judgement.`
  if (finding.kind !== 'reading' || !finding.verdict.zone.endsWith('close')) return null
  return `The reading at “${check.title}” was too close to call.`
}

function onwardRows(knowledge: Knowledge, target: Target): Target[] {
  if (target.kind !== 'check') return []
  return findCheck(knowledge, target)?.rows.map(row => row.next) ?? []
}

/** Keys of everything met from `from`, by `onward`. */
function spread(from: Target, onward: (target: Target, key: string) => Target[]): Set<string> {
  const met = new Set<string>()
  const waiting = [from]
  for (let target = waiting.shift(); target; target = waiting.shift()) {
    const key = targetKey(target)
    if (met.has(key)) continue
    met.add(key)
    waiting.push(...onward(target, key))
  }
  return met
}

function keyOf(check: Check): string {
  return refKey(refOf(check))
}
