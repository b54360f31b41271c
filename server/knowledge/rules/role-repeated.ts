import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { roleCell, wholeRows } from '../read/section-kinds.ts'
import { FACT_ROLES, isFactRole } from '../roles.ts'
import { problemAt, quoted } from './problem-at.ts'

/** Two facts with a role that one fact of a kind of equipment has: two cable lengths. */
export function roleRepeated(draft: Draft): Problem[] {
  if (draft.kind !== 'equipment') return []
  const { doc, facts } = draft
  const first = new Map<string, number>()
  return wholeRows(facts).flatMap(row => {
    const role = roleCell(facts, row)
    if (!isFactRole(role) || !FACT_ROLES[role].once) return []
    const earlier = first.get(role)
    if (earlier === undefined) {
      first.set(role, row.line)
      return []
    }
    return problemAt(doc, row.line, {
      code: 'role-repeated',
      found: `The role ${quoted(role)} stands in the table twice.`,
      expected: 'Only one fact of a kind of equipment has this role.',
      mend: 'Write a dash for the fact that the program is not to use.',
      related: [{ source: { path: doc.path, line: earlier }, note: 'first written here' }],
    })
  })
}
