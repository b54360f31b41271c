import { terminalNames } from '../link/equipment.ts'
import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import type { LinkContext } from './context.ts'
import { eachSection } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A check on a terminal that the equipment file marks `sealed`: it is for the workshop, not for site. */
export function terminalSealed(context: LinkContext): Problem[] {
  return eachSection(context).flatMap(({ draft, kit, section }) => {
    const sealed = kit.terminals.filter(terminal => terminal.sealed)
    const used = sealed.length > 0 ? terminalNames(section) : []
    return sealed
      .filter(terminal => used.includes(terminal.name))
      .map(terminal =>
        problemAt(draft.doc, (keyOf(section, 'Between') ?? keyOf(section, 'Around'))?.line ?? section.line, {
          code: 'terminal-sealed',
          found: `${quoted(section.title)} uses the terminal ${terminal.name}, which is sealed.`,
          expected: 'A check on site uses only terminals with site access.',
          mend: 'Measure at another terminal, or end with the unit being changed.',
          related: [{ source: terminal.source, note: 'marked sealed here' }],
        }),
      )
  })
}
