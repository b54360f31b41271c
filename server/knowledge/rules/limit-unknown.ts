import { expectOf } from '../link/expectation.ts'
import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import type { LinkContext } from './context.ts'
import { eachSection } from './each.ts'
import { allOf, problemAt, quoted } from './problem-at.ts'

/** `- Expect: suply voltage`, where the equipment has no such limit and the words are no range either. */
export function limitUnknown(context: LinkContext): Problem[] {
  const hint = hinter()
  return eachSection(context).flatMap(({ draft, kit, section }) => {
    const line = keyOf(section, 'Expect')
    if (!line?.value || expectOf(line.value, kit).kind !== 'unknown') return []
    const names = kit.limits.map(limit => limit.name)
    return problemAt(draft.doc, line.line, {
      code: 'limit-unknown',
      found: `${kit.name} has no limit ${quoted(line.value)}.`,
      expected: `Its limits are ${allOf(names)}; or a range stands here, such as 99 to 121 V AC.`,
      mend: 'Correct the name, or add the limit to the equipment’s table. Its value may be left blank.',
      hint: hint(line.value, names),
      related: [{ source: kit.source, note: 'the equipment' }],
    })
  })
}
