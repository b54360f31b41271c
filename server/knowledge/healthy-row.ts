import type { Check, Row } from './types.ts'

/**
 * The row a healthy installation shows: `in range` where something is measured, the first row the author
 * wrote where something is looked at. A proof by looking passes on this row. Null when the check has neither.
 */
export function healthyRow(check: Check): Row | null {
  const inRange = check.rows.find(row => row.match.kind === 'in range')
  if (inRange) return inRange
  const first = check.rows[0]
  return check.does.kind === 'observe' && first?.match.kind === 'word' ? first : null
}
