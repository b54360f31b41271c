import type { Problem } from '../problem.ts'
import type { LinkContext } from './context.ts'
import { formulaProblem } from './formula-problem-at.ts'
import { writtenRanges } from './ranges.ts'

/**
 * A range, limit or finding that can't be read, or whose unit
 * doesn't fit: `99 too 121 V`, or `- Expect: 5 bananas`.
 */
export function expectationUnreadable(context: LinkContext): Problem[] {
  return writtenRanges(context).flatMap(range =>
    range.read.ok ? [] : formulaProblem('expectation-unreadable', range, range.read.problem),
  )
}
