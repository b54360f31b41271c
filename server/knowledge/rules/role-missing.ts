import { instrumentByWords } from '../link/legacy-roles.ts'
import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import { equipmentOf } from '../read/names.ts'
import { declaresRoles } from '../read/section-kinds.ts'
import { readMethod } from '../read/values.ts'
import type { Check, Equipment } from '../types.ts'
import type { GraphContext } from './context.ts'
import { eachCheck } from './each.ts'
import { allOf, problemAt, quoted } from './problem-at.ts'

/**
 * Words that once told what roles and methods tell now: a fact `fuse rating` in a file without a column `Role`, or
 * `- Needs: insulation tester` without `- Method: insulation test`.
 */
export function roleMissing(context: GraphContext): Problem[] {
  return [...inEquipment(context), ...inChecks(context)]
}

function inEquipment({ drafts, equipment }: GraphContext): Problem[] {
  return drafts.equipment.flatMap(draft => {
    const kit = equipment.get(draft.doc.slug)
    if (!kit || declaresRoles(draft)) return []
    return [...kit.facts, ...kit.limits].flatMap(({ name, role, source }) =>
      role === null
        ? []
        : problemAt(draft.doc, source.line, {
            code: 'role-missing',
            severity: 'warning',
            found: `${quoted(name)} has the role ${role} by its words only.`,
            expected: 'A last column Role says so, and then the name may be any.',
            mend: `Add the column to the table, with ${role} in this row and a dash in rows without a role.`,
          }),
    )
  })
}

function inChecks(context: GraphContext): Problem[] {
  return eachCheck(context).flatMap(({ draft, section, check }) => {
    const lines = linesFor(check).filter(([key]) => !keyOf(section, key))
    if (lines.length > 0) {
      return problemAt(draft.doc, keyOf(section, 'Needs')?.line ?? section.line, {
        code: 'role-missing',
        severity: 'warning',
        found: `Only the words of ${quoted(check.title)} say what its instrument must do.`,
        expected: 'Keys say so. Words are read only in a tree that has no such keys.',
        mend: `Add ${allOf(lines.map(([key, value]) => `- ${key}: ${value}`))}.`,
      })
    }
    const kit = context.equipment.get(equipmentOf(context.names, draft)?.doc.slug ?? '')
    const isTest = readMethod(keyOf(section, 'Method')?.value ?? '') === 'insulation test'
    return isTest || !kit ? [] : byWords(kit, check).map(said => problemAt(draft.doc, section.line, said))
  })
}

/** The keys that would say what the words of `Needs:` say. */
function linesFor({ needs }: Check): [key: string, value: string][] {
  const { instrument, insulationTest } = instrumentByWords(needs)
  const { method, testVoltage, mostTestVoltage, electronicsConnected } = instrument
  const lines: [string, string][] = []
  if (method) lines.push(['Method', method === '4-wire' ? 'four-wire' : 'volt drop'])
  else if (insulationTest && !electronicsConnected) lines.push(['Method', 'insulation test'])
  if (testVoltage !== null) lines.push(['Test voltage', `${testVoltage} V`])
  else if (mostTestVoltage !== null) lines.push(['Test voltage', `at most ${mostTestVoltage * 1000} mV`])
  if (electronicsConnected) lines.push(['Electronics connected', 'yes'])
  return lines
}

function byWords({ limits }: Equipment, { title, does }: Check) {
  if (does.kind !== 'measure' || does.role === null) return []
  const limit = limits.find(one => one.name === does.limit)
  if (limit && limit.role !== null) return []
  return [
    {
      code: 'role-missing',
      severity: 'warning' as const,
      found: `${quoted(title)} is taken for a check of ${does.role} by its words.`,
      expected: `Its limit has the role ${does.role}, in a last column Role.`,
      mend: limit
        ? `Give the limit ${quoted(limit.name)} that role in the equipment’s table.`
        : 'Make its range a limit of the equipment, with that role.',
    },
  ]
}
