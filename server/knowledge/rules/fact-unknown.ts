import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import { wholeRows } from '../read/section-kinds.ts'
import { readConditions } from '../read/values.ts'
import type { Equipment, FitCondition } from '../types.ts'
import type { LinkContext } from './context.ts'
import { allOf, problemAt, quoted, type Said } from './problem-at.ts'

/**
 * `May be fitted where: direktion is normal`, or `direction is
 * sideways`: no such fact, or no such choice of it.
 */
export function factUnknown({ drafts, equipment }: LinkContext): Problem[] {
  const hint = hinter()
  return drafts.equipment.flatMap(({ doc, units }) => {
    const kit = equipment.get(doc.slug)
    return wholeRows(units).flatMap(row =>
      (readConditions(row.cells[2] ?? '') ?? []).flatMap(condition => {
        const said = kit && fault(kit, condition, hint)
        return said ? problemAt(doc, row.line, { code: 'fact-unknown', ...said }) : []
      }),
    )
  })
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
