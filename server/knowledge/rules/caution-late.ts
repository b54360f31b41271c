import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A caution that stands after the instruction it belongs to: who reads it has already put the probes on. */
export function cautionLate(draft: Draft): Problem[] {
  if (draft.kind !== 'tree') return []
  return draft.checks.flatMap(section => {
    const begin = section.prose[0]
    if (!begin) return []
    return section.quotes
      .filter(quote => quote.line > begin.line)
      .map(quote =>
        problemAt(draft.doc, quote.line, {
          code: 'caution-late',
          found: `This caution of ${quoted(section.title)} comes after its instruction.`,
          expected: 'Cautions stand before the instruction, right under the heading.',
          mend: 'Move the caution up to the heading of the check.',
          related: [
            { source: { path: draft.doc.path, line: begin.line }, note: 'the instruction begins here' },
          ],
        }),
      )
  })
}
