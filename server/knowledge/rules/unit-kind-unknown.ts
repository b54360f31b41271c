import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import { readCell } from '../read/values.ts'
import type { LinkContext } from './context.ts'
import { allOf, problemAt, quoted } from './problem-at.ts'

/** `- Replace: transmiter module`, where the equipment has no such kind of unit. */
export function unitKindUnknown({ drafts, equipment }: LinkContext): Problem[] {
  const hint = hinter()
  return drafts.equipment.flatMap(({ doc, causes }) => {
    const kinds = [...new Set(equipment.get(doc.slug)?.units.map(unit => unit.kind))]
    return causes.flatMap(section => {
      const line = keyOf(section, 'Replace')
      const kind = line && readCell(line.value)
      if (!line || kind === null || kinds.includes(kind)) return []
      return problemAt(doc, line.line, {
        code: 'unit-kind-unknown',
        found: `There is no kind of unit ${quoted(kind)} in the table of units.`,
        expected: `The kinds of unit are ${allOf(kinds)}.`,
        mend: 'Correct the kind, or add it to the table of units.',
        hint: hint(kind, kinds),
      })
    })
  })
}
