import type { Problem } from '../problem.ts'
import type { Check } from '../types.ts'
import type { GraphContext } from './context.ts'
import { eachWholeCheck } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'
import { exampleOf, type TakenPiece } from './readings.ts'

/** A reading that no row takes: `below 10 V AC` and `50 V AC to 99 V AC` leave 30 V AC without a way on. */
export function rowsGap(context: GraphContext): Problem[] {
  return eachWholeCheck(context).flatMap(({ draft, check, pieces }) => {
    const missing = examplesLeft(check, pieces)
    if (missing.length === 0) return []
    return problemAt(draft.doc, check.source.line, {
      code: 'rows-gap',
      found: `${quoted(check.title)} has no row for ${missing.join(', nor for ')}.`,
      expected:
        'The rows of a measurement cover every reading: in range, below, above, none, open, and bands.',
      mend: 'Add rows for these, or a row otherwise that takes all that is left.',
    })
  })
}

function examplesLeft(check: Check, pieces: TakenPiece[]): string[] {
  if (check.rows.length === 0) return []
  if (check.rows.some(row => row.match.kind === 'otherwise')) return []
  const left = pieces.filter(piece => !piece.optional && piece.rows.length === 0)
  return [...new Set(left.map(exampleOf))].slice(0, 6)
}
