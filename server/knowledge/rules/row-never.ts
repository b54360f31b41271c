import type { Problem } from '../problem.ts'
import type { Check, Row } from '../types.ts'
import type { GraphContext } from './context.ts'
import { eachWholeCheck } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'
import type { TakenPiece } from './readings.ts'

/**
 * A row no reading can take: `below` where `at most 0.5 ohm`
 * is expected, or `otherwise` after rows that cover all.
 */
export function rowNever(context: GraphContext): Problem[] {
  return eachWholeCheck(context).flatMap(({ draft, check, pieces }) =>
    idleRows(check, pieces).map(row =>
      problemAt(draft.doc, row.source.line, {
        code: 'row-never',
        found: `No reading can ever take the row ${quoted(row.label)}.`,
        expected: 'Each row stands for a finding that can be made and that no other row has taken.',
        mend: 'Delete the row, or correct what it stands for.',
      }),
    ),
  )
}

function idleRows(check: Check, pieces: TakenPiece[]): Row[] {
  if (check.does.kind !== 'measure') return []
  const used = new Set(pieces.flatMap(piece => piece.rows))
  return check.rows.filter(row => {
    if (row.match.kind === 'cannot tell') return false
    if (row.match.kind === 'otherwise') return pieces.every(piece => piece.rows.length > 0)
    return !used.has(row)
  })
}
