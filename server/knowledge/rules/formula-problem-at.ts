import type { FormulaProblem } from '../../measurement/limits/formula.ts'
import type { Problem } from '../problem.ts'
import { problemAt, quoted } from './problem-at.ts'
import type { WrittenRange } from './ranges.ts'

const FINDINGS =
  'A finding is in range, below, above, none, open, cannot tell, otherwise, or a band like 10 V AC to 99 V AC.'

/** What measurement says of a range, as a problem at its line. */
export function formulaProblem(code: string, range: WrittenRange, said: FormulaProblem): Problem {
  const unreadable = `${quoted(range.text)} can’t be read.`
  return problemAt(range.doc, range.line, {
    code,
    found: said.found.includes(range.text) ? unreadable : `In ${quoted(range.text)} there is ${said.found}.`,
    expected: range.of === 'band' ? FINDINGS : `Expected here: ${said.expected}.`,
    mend: said.mend,
    hint: said.hint,
  })
}
