import { terminalNames } from '../link/equipment.ts'
import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import type { LinkContext } from './context.ts'
import { eachSection } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A check on live terminals, or one that takes something apart, without a caution of its own. */
export function cautionMissing(context: LinkContext): Problem[] {
  return eachSection(context).flatMap(({ draft, kit, section }) => {
    if (section.quotes.length > 0) return []
    const used = terminalNames(section)
    const live = kit.terminals.find(terminal => terminal.live !== null && used.includes(terminal.name))
    const disturbs = keyOf(section, 'Disturbs')
    if (!live && !disturbs?.value) return []
    const why = live ? `is made on ${live.name}, live at ${live.live}` : 'takes something apart'
    return problemAt(
      draft.doc,
      (live ? (keyOf(section, 'Between') ?? keyOf(section, 'Around')) : disturbs)?.line ?? section.line,
      {
        code: 'caution-missing',
        found: `${quoted(section.title)} ${why}, and has no caution.`,
        expected: 'A caution stands before the instruction of such a check.',
        mend: 'Add > **Caution** and what can hurt or go wrong, right under the heading.',
        related: live ? [{ source: live.source, note: 'marked live here' }] : [],
      },
    )
  })
}
