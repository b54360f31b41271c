// The chance of each row of each check under each cause, derived from the tree alone.

import { findEnd } from '../../knowledge/graph.ts'
import type { Knowledge } from '../../knowledge/types.ts'
import { type Scope, scopeOf } from './scope.ts'
import { chances } from './strengths.ts'

export interface Likelihood {
  scope: Scope
  /**
   * The row of each check that is found when nothing behind it is wrong, or -1 where the tree does not say.
   */
  healthy: Int32Array
  /** chance[check][cause × rows + row]. The rows that tell add up to 1; `cannot tell` has 0. */
  chance: Float64Array[]
  /** onWay[check][cause]: 1 where some row of the check leads towards the cause. */
  onWay: Uint8Array[]
  /** agrees[check][cause × rows + row]: 1 where the cause itself shows the row, slips aside. */
  agrees: Uint8Array[]
  /** healthyChance[check][row]: as under a cause that the check does not see. */
  healthyChance: Float64Array[]
  /** anyChance[check][row]: every row that tells alike. */
  anyChance: Float64Array[]
}

const cache = new WeakMap<Knowledge, Map<string, Likelihood | null>>()

/**
 * The likelihoods of a tree (a slug) and all it leads into; null when the knowledge has no such tree. Worked
 * out once for each knowledge object.
 *
 * A check on the way to a cause shows the rows that lead towards it, evenly
 * where there are several. Any other check shows its healthy row; where
 * none can be derived it tells nothing. A slip spreads over the other rows.
 */
export function likelihoodOf(knowledge: Knowledge, tree: string): Likelihood | null {
  const ofKnowledge = cache.get(knowledge) ?? new Map<string, Likelihood | null>()
  cache.set(knowledge, ofKnowledge)
  const cached = ofKnowledge.get(tree)
  if (cached !== undefined) return cached
  const faultTree = knowledge.trees.get(tree)
  const result = faultTree ? derive(knowledge, scopeOf(knowledge, faultTree)) : null
  ofKnowledge.set(tree, result)
  return result
}

/**
 * Chance of a row under a cause. An intermittent fault may hide while it is looked for: part of the chance
 * then goes to what a healthy check would show.
 */
export function chanceOf(
  l: Likelihood,
  check: number,
  cause: number,
  row: number,
  intermittent = false,
): number {
  const healthy = l.healthyChance[check]
  if (!healthy) return 0
  const plain = l.chance[check]?.[cause * healthy.length + row] ?? 0
  return intermittent ? (1 - chances.hidden) * plain + chances.hidden * (healthy[row] ?? 0) : plain
}

/** Whether a cause itself shows a row; an intermittent one may also show the healthy row. */
export function agreesWith(
  l: Likelihood,
  check: number,
  cause: number,
  row: number,
  intermittent = false,
): boolean {
  const rows = l.healthyChance[check]?.length ?? 0
  if (l.agrees[check]?.[cause * rows + row] === 1) return true
  return intermittent && (l.healthy[check] === row || l.healthy[check] === -1)
}

function derive(knowledge: Knowledge, scope: Scope): Likelihood {
  const healthy = Int32Array.from(scope.checks, (_, check) => healthyRow(knowledge, scope, check))
  const slips = scope.checks.map(check =>
    Math.min(1, Math.max(chances.leastSlip, check.slip ?? chances.slip)),
  )
  const agrees = scope.checks.map((_, check) => agreement(scope, check, healthy[check] ?? -1))
  const chance = agrees.map((shown, check) => {
    const rows = scope.tells[check]?.length ?? 0
    const table = new Float64Array(shown.length)
    for (let at = 0; at < shown.length; at += rows) {
      table.set(spread(shown.subarray(at, at + rows), scope.tells[check] ?? [], slips[check] ?? 0), at)
    }
    return table
  })
  const healthyChance = scope.tells.map((tells, check) =>
    spread(shownByHealthy(tells, healthy[check] ?? -1), tells, slips[check] ?? 0),
  )
  const anyChance = scope.tells.map(tells => spread(shownByHealthy(tells, -1), tells, 0))
  const onWay = scope.checks.map((_, check) => towards(scope, check))
  return { scope, healthy, chance, onWay, agrees, healthyChance, anyChance }
}

function towards(scope: Scope, check: number): Uint8Array {
  const list = new Uint8Array(scope.causes.length)
  for (const [row, reach] of (scope.reaches[check] ?? []).entries()) {
    if (!scope.tells[check]?.[row]) continue
    for (let cause = 0; cause < list.length; cause++) list[cause] = (list[cause] ?? 0) | (reach[cause] ?? 0)
  }
  return list
}

/**
 * `in range` where there is one; else a row to an end that says healthy or no fault found; else the row
 * behind which most other causes lie, unless two rows tie.
 */
function healthyRow(knowledge: Knowledge, scope: Scope, check: number): number {
  const rows = scope.checks[check]?.rows ?? []
  const inRange = rows.findIndex(row => row.match.kind === 'in range')
  if (inRange >= 0) return inRange
  const toHealthy = rows.findIndex(({ next }) => {
    const means = next.kind === 'end' ? findEnd(knowledge, next)?.means : undefined
    return means === 'healthy' || means === 'no fault found'
  })
  return toHealthy >= 0 ? toHealthy : leadsOn(scope, check)
}

function leadsOn(scope: Scope, check: number): number {
  const counts = (scope.reaches[check] ?? []).map((reach, row) =>
    scope.tells[check]?.[row] && (scope.onward[check]?.[row] ?? -1) >= 0 ? total(reach) : 0,
  )
  const most = Math.max(0, ...counts)
  const best = counts.flatMap((count, row) => (count === most && most > 0 ? [row] : []))
  return best.length === 1 ? (best[0] ?? -1) : -1
}

function agreement(scope: Scope, check: number, healthy: number): Uint8Array {
  const tells = scope.tells[check] ?? []
  const reaches = scope.reaches[check] ?? []
  const shown = new Uint8Array(scope.causes.length * tells.length)
  for (let cause = 0; cause < scope.causes.length; cause++) {
    const at = cause * tells.length
    let towards = false
    for (let row = 0; row < tells.length; row++) {
      if (!tells[row] || !reaches[row]?.[cause]) continue
      shown[at + row] = 1
      towards = true
    }
    if (!towards) shown.set(shownByHealthy(tells, healthy), at)
  }
  return shown
}

/** The healthy row alone, or every row that tells when it is not known. */
function shownByHealthy(tells: boolean[], healthy: number): Uint8Array {
  return Uint8Array.from(tells, (does, row) => (does && (healthy === -1 || row === healthy) ? 1 : 0))
}

function spread(shown: Uint8Array, tells: boolean[], slip: number): Float64Array {
  const right = total(shown)
  const wrong = tells.filter(Boolean).length - right
  const lost = wrong === 0 ? 0 : Math.min(slip, wrong / (right + wrong))
  return Float64Array.from(tells, (does, row) => {
    if (!does) return 0
    return shown[row] ? (1 - lost) / right : lost / wrong
  })
}

function total(list: Uint8Array): number {
  let sum = 0
  for (const value of list) sum += value
  return sum
}
