import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { allKeys, sectionsOf } from '../read/section-kinds.ts'
import { allOf, problemAt, quoted } from './problem-at.ts'

/** A bullet `- Mesure: supply voltage` whose key is none of its section's. */
export function keyUnknown(draft: Draft): Problem[] {
  const hint = hinter()
  return sectionsOf(draft).flatMap(({ kind, section }) => {
    const allowed = allKeys(kind)
    return section.keys
      .filter(line => !allowed.includes(line.key))
      .map(line =>
        problemAt(draft.doc, line.line, {
          code: 'key-unknown',
          found: `${quoted(`${line.key}:`)} is no key that can stand here.`,
          expected: allowed.length > 0 ? `The keys here are ${allOf(allowed)}.` : 'No keys stand here.',
          mend: 'Correct the key, or write the line as a sentence without a colon.',
          hint: hint(line.key, allowed),
        }),
      )
  })
}
