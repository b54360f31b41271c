import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

/** `- Measure: supply voltage` without `- Expect: supply voltage`: nothing to hold the reading against. */
export function expectMissing(draft: Draft): Problem[] {
  if (draft.kind !== 'tree') return []
  return draft.checks.flatMap(section => {
    const measure = keyOf(section, 'Measure')
    if (!measure || keyOf(section, 'Expect')?.value) return []
    return problemAt(draft.doc, measure.line, {
      code: 'expect-missing',
      found: `${quoted(section.title)} measures, and does not say what to expect.`,
      expected: 'A measurement has - Expect: with a limit of the equipment, or a range of its own.',
      mend: 'Add - Expect: and the name of a limit. A limit may be left blank in the equipment’s table.',
    })
  })
}
