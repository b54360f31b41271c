import { terminalNames } from '../link/equipment.ts'
import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import type { LinkContext } from './context.ts'
import { eachSection } from './each.ts'
import { allOf, problemAt, quoted } from './problem-at.ts'

/** `- Between: S1 and S9`, where the equipment has no terminal S9. */
export function terminalUnknown(context: LinkContext): Problem[] {
  const hint = hinter()
  return eachSection(context).flatMap(({ draft, kit, section }) => {
    const names = terminalNames(section)
    if (names.length === 0) return []
    const terminals = kit.terminals.map(terminal => terminal.name)
    return names
      .filter(name => !terminals.includes(name))
      .map(name =>
        problemAt(draft.doc, (keyOf(section, 'Between') ?? keyOf(section, 'Around'))?.line ?? section.line, {
          code: 'terminal-unknown',
          found: `${kit.name} has no terminal ${quoted(name)}.`,
          expected: `Its terminals are ${allOf(terminals)}.`,
          mend: 'Correct the name, or add the terminal to the equipment’s table.',
          hint: hint(name, terminals),
          related: [{ source: kit.source, note: 'the equipment' }],
        }),
      )
  })
}
