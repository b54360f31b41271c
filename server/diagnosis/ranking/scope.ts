// What is reachable from a tree, numbered, with which rows lead towards which causes.

import { causeKey, pathsTo, reachable, refKey, refOf } from '../../knowledge/graph.ts'
import type { Cause, Check, CheckRef, FaultTree, Knowledge, Row, Target } from '../../knowledge/types.ts'

export interface Scope {
  tree: FaultTree
  /** In the order of the tree's walks; trees it leads into are included. */
  checks: Check[]
  causes: Cause[]
  /** Index of a check by `tree#check`. */
  checkAt: Map<string, number>
  /** Index of a cause by `equipment/cause`. */
  causeAt: Map<string, number>
  /** onward[check][row]: index of the check the row leads to, or -1. */
  onward: Int32Array[]
  /** names[check][row]: index of the cause the row names, or -1. */
  names: Int32Array[]
  /** reaches[check][row]: 1 for each cause reachable by this row, without going round. */
  reaches: Uint8Array[][]
  /** Whether a row tells anything: `cannot tell` does not. */
  tells: boolean[][]
  /** For each cause, how often the shortest way to it, counted so, goes over into another tree. */
  crossings: number[]
  /** For each cause, some of the ways to it: check index → row index. */
  ways: Map<number, number>[][]
}

/** At most this many ways to one cause are planned with, the shortest ones. */
const mostWays = 2

/**
 * The scope of a tree. A row that leads back to a check the walk has come by counts as leading nowhere new,
 * so that a "try again" row does not make every cause look possible behind it.
 */
export function scopeOf(knowledge: Knowledge, tree: FaultTree): Scope {
  const { checks, causes } = reachable(knowledge, tree)
  const checkAt = new Map(checks.map((check, index) => [refKey(refOf(check)), index]))
  const causeAt = new Map(causes.map((cause, index) => [causeKey(cause), index]))
  const onward = checks.map(check => Int32Array.from(check.rows, row => checkIndex(checkAt, row.next)))
  const names = checks.map(check => Int32Array.from(check.rows, row => causeIndex(causeAt, row.next)))
  const tells = checks.map(check => check.rows.map(rowTells))
  const start = checkAt.get(refKey(tree.start)) ?? -1
  const reaches = reachOf(start, onward, names, tells, causes.length)
  const crossings = crossingsOf(start, checks, onward, names, causes.length)
  const scope: Scope = {
    tree,
    checks,
    causes,
    checkAt,
    causeAt,
    onward,
    names,
    reaches,
    tells,
    crossings,
    ways: [],
  }
  scope.ways = waysOf(knowledge, scope)
  return scope
}

/** The index of a check in the scope, or -1. */
export function indexOfCheck(scope: Scope, ref: CheckRef): number {
  return scope.checkAt.get(refKey(ref)) ?? -1
}

function checkIndex(checkAt: Map<string, number>, next: Target): number {
  return next.kind === 'check' ? (checkAt.get(refKey(next)) ?? -1) : -1
}

function causeIndex(causeAt: Map<string, number>, next: Target): number {
  return next.kind === 'cause' ? (causeAt.get(`${next.equipment}/${next.cause}`) ?? -1) : -1
}

function rowTells(row: Row): boolean {
  return row.match.kind !== 'cannot tell'
}

function reachOf(
  start: number,
  onward: Int32Array[],
  names: Int32Array[],
  tells: boolean[][],
  causes: number,
): Uint8Array[][] {
  const reaches = onward.map(rows => Array.from(rows, () => new Uint8Array(causes)))
  const whole = new Map<number, Uint8Array>()
  const open = new Set<number>()
  if (start >= 0) visit(start)
  return reaches

  function visit(check: number): Uint8Array {
    const cached = whole.get(check)
    if (cached) return cached
    open.add(check)
    const all = new Uint8Array(causes)
    for (const [row, reach] of (reaches[check] ?? []).entries()) {
      const named = names[check]?.[row] ?? -1
      const next = onward[check]?.[row] ?? -1
      if (named >= 0) reach[named] = 1
      if (next >= 0 && !open.has(next)) reach.set(visit(next))
      if (tells[check]?.[row]) merge(all, reach)
    }
    open.delete(check)
    whole.set(check, all)
    return all
  }
}

/** By rounds: first all that needs no crossing, then all that needs one, and so on. */
function crossingsOf(
  start: number,
  checks: Check[],
  onward: Int32Array[],
  names: Int32Array[],
  causes: number,
): number[] {
  const marks = new Array<number>(causes).fill(0)
  const seen = new Set<number>()
  const named = new Set<number>()
  let next = start >= 0 ? [start] : []
  for (let round = 0; next.length > 0; round++) {
    const here = next
    next = []
    for (let at = here.pop(); at !== undefined; at = here.pop()) {
      if (seen.has(at)) continue
      seen.add(at)
      for (const cause of names[at] ?? []) {
        if (cause >= 0 && !named.has(cause)) marks[cause] = round
        named.add(cause)
      }
      for (const to of onward[at] ?? [])
        if (to >= 0) (checks[to]?.tree === checks[at]?.tree ? here : next).push(to)
    }
  }
  return marks
}

function merge(into: Uint8Array, from: Uint8Array) {
  for (let index = 0; index < into.length; index++) into[index] = (into[index] ?? 0) | (from[index] ?? 0)
}

function waysOf(knowledge: Knowledge, scope: Scope): Map<number, number>[][] {
  const paths = pathsTo(knowledge, scope.tree, mostWays)
  return scope.causes.map(cause => {
    const pathsHere = paths.get(causeKey(cause)) ?? []
    return pathsHere
      .filter(path => path.every(step => rowTells(step.row)))
      .map(
        path =>
          new Map(path.map(({ check, row }) => [indexOfCheck(scope, refOf(check)), check.rows.indexOf(row)])),
      )
  })
}
