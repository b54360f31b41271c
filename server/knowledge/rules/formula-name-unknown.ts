import { isConstant, namesOf } from '../../measurement/limits/expectation.ts'
import { nameKey } from '../../measurement/limits/formula.ts'
import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import type { LinkContext } from './context.ts'
import { oneOf, problemAt, quoted } from './problem-at.ts'
import { type WrittenRange, writtenRanges } from './ranges.ts'

/**
 * A formula with a name that is no fact and no reading of the
 * tree: `2 × cabel length × resistance per length(conductor)`.
 */
export function formulaNameUnknown(context: LinkContext): Problem[] {
  const hint = hinter()
  return writtenRanges(context).flatMap(range =>
    unknownNames(range)
      .filter(name => !range.doubtful.has(nameKey(name)))
      .map(name =>
        problemAt(range.doc, range.line, {
          code: 'formula-name-unknown',
          found: `The formula names ${quoted(name)}, which is not known.`,
          expected: `It may name ${oneOf(range.names.keys())}.`,
          mend: 'Correct the name, or add the fact to the equipment. A reading is named “reading of” and the check’s title.',
          hint: hint(name, range.names.keys()),
        }),
      ),
  )
}

/** Names a range uses that are neither known nor a word of one of its functions. */
export function unknownNames({ read, names }: WrittenRange): string[] {
  if (!read.ok || isConstant(read.expectation)) return []
  return namesOf(read.expectation).filter(name => !names.has(nameKey(name)) && !/^class [1256]\b/i.test(name))
}
