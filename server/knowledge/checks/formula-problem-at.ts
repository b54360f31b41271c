import type { FormulaProblem } from '../../measurement/formula.ts'
import type { Problem } from '../problem.ts'
import { problemAt, quoted } from './problem-at.ts'
import type { WrittenRange } from './ranges.ts'

const FORMS: Record<WrittenRange['of'], string> = {
  limit: 'A limit is written like 99 to 121 V AC, 110 V AC ± 10 %, at most 0.5 ohm, or as a formula.',
  expect: 'Expect: names a limit, or is written like 99 to 121 V AC, 110 V AC ± 10 % or at most 0.5 ohm.',
  band: 'A finding is in range, below, above, none, open, cannot tell, otherwise, or a band like 10 V AC to 99 V AC.',
}

/** What measurement says of a range, as a problem at its line. */
export function formulaProblem(code: string, range: WrittenRange, said: FormulaProblem): Problem {
  return problemAt(range.doc, range.line, {
    code,
    found: `In ${quoted(range.text)} stands ${said.found}, where ${said.expected} was expected.`,
    expected: FORMS[range.of],
    mend: said.mend,
    hint: said.hint,
  })
}
