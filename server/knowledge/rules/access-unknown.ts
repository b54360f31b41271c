import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import type { LinkContext } from './context.ts'
import { eachSection } from './each.ts'
import { allOf, problemAt, quoted } from './problem-at.ts'

/** `- Access: open the cas`, where the equipment has no such access. */
export function accessUnknown(context: LinkContext): Problem[] {
  const hint = hinter()
  return eachSection(context).flatMap(({ draft, kit, section }) => {
    const line = keyOf(section, 'Access')
    const names = kit.access.map(access => access.name)
    if (!line || names.includes(line.value)) return []
    return problemAt(draft.doc, line.line, {
      code: 'access-unknown',
      found: `${kit.name} has no access ${quoted(line.value)}.`,
      expected: `The accesses are ${allOf(names)}.`,
      mend: 'Correct the name, or add it to the table Access with its time.',
      hint: hint(line.value, names),
    })
  })
}
