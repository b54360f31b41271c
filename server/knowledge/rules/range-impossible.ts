import { checkDimensions, isConstant } from '../../measurement/limits/expectation.ts'
import { constantBounds } from '../bounds.ts'
import type { Problem } from '../problem.ts'
import type { LinkContext } from './context.ts'
import { problemAt, quoted } from './problem-at.ts'
import { writtenRanges } from './ranges.ts'

/** A range that nothing can lie in: `121 to 99 V AC`. */
export function rangeImpossible(context: LinkContext): Problem[] {
  return writtenRanges(context).flatMap(({ doc, line, text, read, names }) => {
    if (!read.ok || !isConstant(read.expectation) || constantBounds(read.expectation)) return []
    if (checkDimensions(read.expectation, names).length > 0) return []
    return problemAt(doc, line, {
      code: 'range-impossible',
      found: `No reading can lie in ${quoted(text)}.`,
      expected: 'The low end of a range comes first, and its numbers can be worked out.',
      mend: 'Turn the two ends round, or correct the numbers.',
    })
  })
}
