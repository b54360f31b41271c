import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import type { EquipmentDraft } from '../read/draft.ts'
import { wholeRows } from '../read/section-kinds.ts'
import { readConditions, readLimitValue } from '../read/values.ts'
import type { Equipment, FitCondition } from '../types.ts'
import type { LinkContext } from './context.ts'
import { allOf, problemAt, quoted, type Said } from './problem-at.ts'

/**
 * A condition of a unit or a limit, `direktion is normal` or `direction is sideways`: no such fact, or no such
 * choice of it.
 */
export function factUnknown({ drafts, equipment }: LinkContext): Problem[] {
  const hint = hinter()
  return drafts.equipment.flatMap(draft => {
    const kit = equipment.get(draft.doc.slug)
    return conditionsOf(draft).flatMap(({ line, conditions }) =>
      conditions.flatMap(condition => {
        const said = kit && fault(kit, condition, hint)
        return said ? problemAt(draft.doc, line, { code: 'fact-unknown', ...said }) : []
      }),
    )
  })
}

function conditionsOf({ units, limits }: EquipmentDraft): { line: number; conditions: FitCondition[] }[] {
  return [
    ...wholeRows(units).map(({ line, cells }) => ({
      line,
      conditions: readConditions(cells[2] ?? '') ?? [],
    })),
    ...wholeRows(limits).map(({ line, cells }) => ({
      line,
      conditions: readLimitValue(cells[1] ?? '')?.where ?? [],
    })),
  ]
}

function fault(
  kit: Equipment,
  condition: FitCondition,
  hint: ReturnType<typeof hinter>,
): Omit<Said, 'code'> | null {
  const fact = kit.facts.find(known => known.name === condition.fact)
  const names = kit.facts.map(known => known.name)
  if (!fact) {
    return {
      found: `${kit.name} has no fact ${quoted(condition.fact)}.`,
      expected: `Its facts are ${allOf(names)}.`,
      mend: 'Correct the name, or add the fact to the table of facts.',
      hint: hint(condition.fact, names),
    }
  }
  const odd = condition.values.find(value => !fact.choices.includes(value))
  if (odd === undefined) return null
  return {
    found: `${quoted(odd)} is no choice of the fact ${fact.name}.`,
    expected: `The choices are ${allOf(fact.choices)}.`,
    mend: 'Correct the choice, or add it to the fact.',
    hint: hint(odd, fact.choices),
    related: [{ source: fact.source, note: 'the fact' }],
  }
}
