import type { Problem } from '../problem.ts'
import type { GraphContext } from './context.ts'
import { eachCheck } from './each.ts'
import { isIncomparable } from './incomparable.ts'
import { problemAt, quoted } from './problem-at.ts'

/**
 * A band that can't be compared with the other rows: it names a fact, or it stands beside `in range`, `below`
 * or `above` of a range that names facts or is left blank.
 */
export function bandWithFormula(context: GraphContext): Problem[] {
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
