import { isConstant } from '../../measurement/limits/expectation.ts'
import { constantBounds } from '../bounds.ts'
import type { Check, Row } from '../types.ts'

/** A band that can't be judged beside the other rows: it or the check's range is no plain numbers. */
export function isIncomparable(check: Check, row: Row): boolean {
  if (row.match.kind !== 'band') return false
  if (!isConstant(row.match.expectation)) return true
  if (!hasVerdictRows(check) || check.does.kind !== 'measure') return false
  const { expectation } = check.does
  return !expectation || !constantBounds(expectation)
}

function hasVerdictRows(check: Check): boolean {
  return check.rows.some(row => ['in range', 'below', 'above'].includes(row.match.kind))
}
