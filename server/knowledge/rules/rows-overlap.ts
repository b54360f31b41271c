import type { Problem } from '../problem.ts'
import type { Check, Row } from '../types.ts'
import type { GraphContext } from './context.ts'
import { eachWholeCheck } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'
import { exampleOf, type TakenPiece } from './readings.ts'

interface Overlap {
  first: Row
  second: Row
  example: string
}

/**
 * A finding that two rows take: `below` beside `10 V AC to 50
 * V AC`, or one word twice. Bands may meet at one value.
 */
export function rowsOverlap(context: GraphContext): Problem[] {
  return eachWholeCheck(context).flatMap(({ draft, check, pieces }) =>
    overlaps(check, pieces).map(({ first, second, example }) =>
      problemAt(draft.doc, second.source.line, {
        code: 'rows-overlap',
        found: `The rows ${quoted(first.label)} and ${quoted(second.label)} both take ${example}.`,
        expected:
          'Each finding belongs to one row. Two bands may meet at one value: it belongs to the upper.',
        mend: 'Narrow one of the two rows, or delete it.',
        related: [{ source: first.source, note: 'the other row' }],
      }),
    ),
  )
}

function overlaps(check: Check, pieces: TakenPiece[]): Overlap[] {
  const same = twins(check.rows)
  const overlaps = new Map<Row, Overlap>(same.map(overlap => [overlap.second, overlap]))
  for (const piece of pieces) {
    const [first, ...more] = piece.point ? [] : piece.rows
    for (const second of more) {
      if (first && !overlaps.has(second)) overlaps.set(second, { first, second, example: exampleOf(piece) })
    }
  }
  return [...overlaps.values()]
}

/** Rows that say the very same. */
function twins(rows: Row[]): Overlap[] {
  const earlier = new Map<string, Row>()
  return rows.flatMap(second => {
    const { match } = second
    if (match.kind === 'band') return []
    const key = match.kind === 'word' ? `word ${match.word.toLowerCase()}` : match.kind
    const first = earlier.get(key)
    if (!first) earlier.set(key, second)
    return first ? { first, second, example: quoted(second.label) } : []
  })
}
