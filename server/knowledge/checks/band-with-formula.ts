import { isConstant } from '../../measurement/expectation.ts'
import { constantBounds } from '../bounds.ts'
import type { Problem } from '../problem.ts'
import type { Check, Row } from '../types.ts'
import type { GraphContext } from './context.ts'
import { eachCheck } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'

/**
 * A band that can't be compared with the other rows: it names a fact, or it stands beside `in range`, `below` or `above`
 * of a range that names facts or is left blank.
 */
export function checkBandWithFormula(context: GraphContext): Problem[] {
  return eachCheck(context).flatMap(({ draft, check }) =>
    check.rows
      .filter(row => isIncomparable(check, row))
      .map(row =>
        problemAt(draft.doc, row.source.line, {
          code: 'band-with-formula',
          found: `The band ${quoted(row.label)} can’t be compared with the other rows of this check.`,
          expected:
            'Bands are plain numbers, and stand beside in range, below and above only where those are too.',
          mend: 'Use in range, below and above alone, or bands alone.',
        }),
      ),
  )
}

function isIncomparable(check: Check, row: Row): boolean {
  if (row.match.kind !== 'band') return false
  if (!isConstant(row.match.expectation)) return true
  if (!hasVerdictRows(check) || check.does.kind !== 'measure') return false
  const { expectation } = check.does
  return !expectation || !constantBounds(expectation)
}

export function hasVerdictRows(check: Check): boolean {
  return check.rows.some(row => ['in range', 'below', 'above'].includes(row.match.kind))
}
