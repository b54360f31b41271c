import { findUnit } from '../../measurement/readings/units.ts'
import { constantBounds } from '../bounds.ts'
import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import { readMethod } from '../read/values.ts'
import { FACT_ROLES, factOfRole, LIMIT_ROLES, type RoleForm } from '../roles.ts'
import type { CheckMethod, Equipment, Fact, Limit } from '../types.ts'
import type { GraphContext } from './context.ts'
import { eachCheck } from './each.ts'
import { allOf, oneOf, problemAt, quoted, type Said } from './problem-at.ts'

type Fault = Omit<Said, 'code'> | null

/**
 * A role or a method on a quantity it can't be of: a `fuse rating` in metres, a `direction` without the choice
 * normal, a `tone` limit that names no direction, an insulation test that measures volts.
 */
export function roleQuantity(context: GraphContext): Problem[] {
  const ofKits = context.drafts.equipment.flatMap(({ doc }) => {
    const kit = context.equipment.get(doc.slug)
    const faults = kit
      ? [...kit.facts.map(factFault), ...kit.limits.map(limit => limitFault(kit, limit))]
      : []
    return faults.flatMap(({ line, fault }) =>
      fault ? problemAt(doc, line, { code: 'role-quantity', ...fault }) : [],
    )
  })
  return [...ofKits, ...methods(context)]
}

function factFault({ role, unit, choices, source }: Fact): { line: number; fault: Fault } {
  if (role === null) return { line: source.line, fault: null }
  return { line: source.line, fault: formFault(role, FACT_ROLES[role], unit, choices) }
}

function limitFault(kit: Equipment, limit: Limit): { line: number; fault: Fault } {
  const { role, unit, source } = limit
  if (role === null) return { line: source.line, fault: null }
  const fault = formFault(role, LIMIT_ROLES[role], unit, [])
  return { line: source.line, fault: fault ?? ownFault(kit, limit) }
}

/** An unknown unit is reported as that. */
function formFault(role: string, form: RoleForm, unit: string | null, choices: string[]): Fault {
  const base = unit === null ? null : findUnit(unit)?.base
  if (unit !== null && base === undefined) return null
  if (unit === null && choices.length === 0) return null
  if (
    (form.base === 'any' ? base !== undefined : base === form.base) &&
    form.choices.every(choice => choices.includes(choice))
  )
    return null
  return {
    found: `The role ${quoted(role)} does not go with ${unit ?? quoted(choices.join(' / '))}.`,
    expected: `What has this role is ${form.is}.`,
    mend: 'Correct the unit or the choices, or take the role away.',
  }
}

function ownFault(kit: Equipment, limit: Limit): Fault {
  if (limit.role === 'tone') return toneFault(kit, limit)
  return limit.role === 'nothing' ? nothingFault(limit) : null
}

/** How little is as good as nothing is one number, the same everywhere. */
function nothingFault({ name, text, expectation }: Limit): Fault {
  const range = expectation && constantBounds(expectation)
  if (!expectation || (expectation.kind === 'at most' && (range?.max ?? 0) > 0)) return null
  return {
    found: `The limit ${quoted(name)} has the role nothing and the value ${quoted(text)}.`,
    expected: 'How little is as good as nothing is one number above nought: at most 2.',
    mend: 'Write the value so, or take the role away.',
  }
}

function toneFault(kit: Equipment, { name, tone }: Limit): Fault {
  const choices = factOfRole(kit, 'direction')?.choices ?? []
  if (tone && choices.includes(tone.direction)) return null
  return {
    found: `The limit ${quoted(name)} has the role tone and names no direction.`,
    expected:
      choices.length > 0
        ? `Its name ends with a comma, ${oneOf(choices)}, and the word direction.`
        : 'A fact has the role direction, and the name ends with one of its choices: tone, normal direction.',
    mend: 'Write the limit’s name so, or take the role away.',
  }
}

/** All measure resistance. */
const MEASURED: Record<CheckMethod, string> = {
  'insulation test': 'ohm',
  'four-wire': 'ohm',
  'volt drop': 'ohm',
}

function methods(context: GraphContext): Problem[] {
  return eachCheck(context).flatMap(({ draft, section, check: { does } }) => {
    const line = keyOf(section, 'Method')
    const method = line && readMethod(line.value)
    if (!method) return []
    const unit = does.kind === 'measure' ? does.unit : ''
    if (does.kind === 'measure' && (findUnit(unit)?.base ?? MEASURED[method]) === MEASURED[method]) return []
    return problemAt(draft.doc, line.line, {
      code: 'role-quantity',
      found: `The method ${quoted(method)} does not go with ${unit || 'a check that looks'}.`,
      expected: `By ${allOf(Object.keys(MEASURED))} a resistance is measured.`,
      mend: 'Correct the method, or take the line away.',
    })
  })
}
