import { causeSaid } from '../cause-said.ts'
import type { Problem } from '../problem.ts'
import type { GraphContext } from './context.ts'
import { eachCheck } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A row that says a cause and goes on to another check, which may yet find something else. A warning. */
export function causeEarly(context: GraphContext): Problem[] {
  return eachCheck(context).flatMap(({ draft, check }) => {
    const kit = context.equipment.get(context.knowledge.trees.get(check.tree)?.equipment ?? '')
    return check.rows.flatMap(row => {
      const said = kit && row.next.kind === 'check' ? causeSaid(row.means, kit) : null
      if (!said) return []
      return problemAt(draft.doc, row.source.line, {
        code: 'cause-early',
        severity: 'warning',
        found: `${quoted(row.means)} says a cause (${quoted(said.words)}) before the walk has reached one.`,
        expected: 'What a row means is what is known then: the next check may find something else.',
        mend: 'Say what was found, or what is left to look at.',
      })
    })
  })
}
