import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import type { Draft, EquipmentDraft } from '../read/draft.ts'
import { roleCell, wholeRows } from '../read/section-kinds.ts'
import { factRoles, limitRoles } from '../roles.ts'
import { allOf, problemAt, quoted } from './problem-at.ts'

/** A word in the column `Role` that is none: `| cable length | m | … | cabel length |`. */
export function roleUnknown(draft: Draft): Problem[] {
  if (draft.kind !== 'equipment') return []
  const hint = hinter()
  return [...unknown(draft, 'facts', factRoles, hint), ...unknown(draft, 'limits', limitRoles, hint)]
}

function unknown(
  draft: EquipmentDraft,
  table: 'facts' | 'limits',
  roles: string[],
  hint: ReturnType<typeof hinter>,
): Problem[] {
  const section = draft[table]
  return wholeRows(section).flatMap(row => {
    const role = roleCell(section, row)
    if (role === '' || roles.includes(role)) return []
    return problemAt(draft.doc, row.line, {
      code: 'role-unknown',
      found: `${quoted(role)} is no role in the table of ${table}.`,
      expected: `The roles there are ${allOf(roles)}.`,
      mend: 'Correct the role, or write a dash for a row without one.',
      hint: hint(role, roles),
    })
  })
}
