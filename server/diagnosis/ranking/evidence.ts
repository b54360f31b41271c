// Findings as evidence: for each check done, how far the finding stands for each row.

import { assertNever } from '../../errors.ts'
import { causeKey } from '../../knowledge/graph.ts'
import { matchRow } from '../../knowledge/match.ts'
import type { Check, Row } from '../../knowledge/types.ts'
import { effectiveFindings } from '../../walk/place.ts'
import type { CheckFinding, Finding } from '../../walk/record.ts'
import { rowOf } from '../../walk/row.ts'
import type { Likelihood } from './likelihood.ts'
import { indexOfCheck, type Scope } from './scope.ts'

export interface Evidence {
  finding: CheckFinding
  /** Index of the check in the scope. */
  check: number
  /** The row the walk took, or -1. */
  row: number
  /** Part of the finding that stands for each row, adding up to 1; null when it tells nothing. */
  weights: Float64Array | null
}

/**
 * The findings that stand, one a check: a check done again counts as last found.
 * "Cannot tell" is included, as the check was done, but tells nothing, whichever
 * row was then followed. Findings at checks outside the scope are left out.
 */
export function evidenceOf(scope: Scope, findings: Finding[]): Evidence[] {
  const byCheck = new Map<number, Evidence>()
  for (const finding of effectiveFindings(findings).effective) {
    switch (finding.kind) {
      case 'reading':
      case 'observation':
      case 'cannot tell':
        takeLast(byCheck, scope, finding)
        break
      case 'departure':
      case 'rejection':
        break
      default:
        assertNever(finding)
    }
  }
  return [...byCheck.values()]
}

function takeLast(byCheck: Map<number, Evidence>, scope: Scope, finding: CheckFinding): void {
  const index = indexOfCheck(scope, finding.check)
  const check = scope.checks[index]
  if (!check) return
  byCheck.delete(index)
  byCheck.set(index, weigh(check, index, finding))
}

/** Causes ruled out by a failed proof or a repair that changed nothing: `equipment/cause` → the finding. */
export function rejectionsIn(findings: Finding[]): Map<string, Finding> {
  const rejected = new Map<string, Finding>()
  for (const finding of effectiveFindings(findings).effective) {
    if (finding.kind === 'rejection') rejected.set(finding.cause, finding)
  }
  return rejected
}

/**
 * What the findings still tell once causes were ruled out (`rejected`, by `equipment/cause`). A finding that led
 * to such causes and to no other has had its answer: what was there is mended, or the finding misled. It then
 * tells nothing, so that the causes behind the findings before it come up, and not those measured well. A
 * healthy finding stays in force, whatever it led to.
 */
export function stillTelling(
  l: Likelihood,
  evidence: Evidence[],
  rejected: ReadonlyMap<string, Finding>,
): Evidence[] {
  if (rejected.size === 0) return evidence
  const out = l.scope.causes.map(cause => rejected.has(causeKey(cause)))
  return evidence.map(item => {
    if (item.row < 0 || item.row === l.healthy[item.check]) return item
    const led = l.scope.reaches[item.check]?.[item.row] ?? []
    const answered =
      led.some((to, cause) => to === 1 && out[cause]) && led.every((to, cause) => !to || out[cause])
    return answered ? { ...item, weights: null } : item
  })
}

function weigh(check: Check, index: number, finding: CheckFinding): Evidence {
  const taken = rowOf(check, finding).row
  const row = taken ? check.rows.indexOf(taken) : -1
  const tells = finding.kind !== 'cannot tell' && taken !== null && taken.match.kind !== 'cannot tell'
  const weights = tells ? (shared(check, finding) ?? only(check, taken)) : null
  return { finding, check: index, row, weights }
}

function only(check: Check, row: Row): Float64Array {
  return Float64Array.from(check.rows, other => (other === row ? 1 : 0))
}

/**
 * A reading too close to call, left to its verdict, stands partly for the row on the other side of the bound.
 */
function shared(check: Check, finding: CheckFinding): Float64Array | null {
  if (finding.kind !== 'reading' || finding.chosenRow !== null) return null
  const { verdict } = finding
  if (verdict.probability === null || !verdict.zone.endsWith('close')) return null
  const inside = rowAt(check, finding, 'in range')
  const outside = rowAt(check, finding, verdict.side === 'in range' ? nearerSide(finding) : verdict.side)
  if (!inside || !outside || inside === outside) return null
  const chance = Math.min(1, Math.max(0, verdict.probability))
  return Float64Array.from(check.rows, row => (row === inside ? chance : row === outside ? 1 - chance : 0))
}

type ReadingFinding = Extract<Finding, { kind: 'reading' }>

function rowAt(check: Check, finding: ReadingFinding, side: ReadingFinding['verdict']['side']): Row | null {
  return matchRow(check, { ...finding, verdict: { ...finding.verdict, side } })
}

function nearerSide({ reading, range }: ReadingFinding): 'below' | 'above' {
  if (!range || range.min === null) return 'above'
  if (range.max === null) return 'below'
  const value =
    reading.kind === 'unstable'
      ? (reading.low + reading.high) / 2
      : 'value' in reading
        ? reading.value
        : range.max
  return value - range.min <= range.max - value ? 'below' : 'above'
}
