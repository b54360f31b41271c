import { memo } from '../../cache.ts'
import { checkDimensions, type Expectation, isConstant } from '../../measurement/limits/expectation.ts'
import type { Problem } from '../problem.ts'
import type { LinkContext } from './context.ts'
import { unknownNames } from './formula-name-unknown.ts'
import { formulaProblem } from './formula-problem-at.ts'
import { writtenRanges } from './ranges.ts'

/**
 * A formula whose quantities don't fit (`cable length + supply voltage`), or a function that is not known.
 */
export function formulaWrong(context: LinkContext): Problem[] {
  return writtenRanges(context).flatMap(range => {
    if (!range.read.ok || unknownNames(range).length > 0) return []
    const { expectation } = range.read
    const problems = isConstant(expectation)
      ? withoutNames(expectation)
      : checkDimensions(expectation, range.names)
    return problems.map(problem => formulaProblem('formula-wrong', range, problem))
  })
}

/** A range of plain numbers is the same wherever it stands. */
const withoutNames = memo((expectation: Expectation) => checkDimensions(expectation, new Map()))
