// The measuring checks of the knowledge in this repository, and positions invented for them.

import { factsFor } from '../../server/demo/railway/facts.ts'
import { compile } from '../../server/knowledge/compile.ts'
import { refOf } from '../../server/knowledge/graph.ts'
import { readKnowledge } from '../../server/knowledge/load.ts'
import type { Check, Equipment, FaultTree, Knowledge, Measures } from '../../server/knowledge/types.ts'
import { namesOf, type Range } from '../../server/measurement/limits/expectation.ts'
import type { Random } from '../../server/statistics/random.ts'
import { expectedAt } from '../../server/walk/expected.ts'
import { type Walk, walk } from '../../server/walk/place.ts'

export interface MeasuredCheck {
  title: string
  check: Check & { does: Measures }
  kit: Equipment
}

const knowledge = compiledPack()

export const measuredChecks: MeasuredCheck[] = [...knowledge.trees.values()].flatMap(tree =>
  [...tree.checks.values()].flatMap(check => measuredCheck(tree, check)),
)

/**
 * What the check expects at a position with facts by chance, one where its limit holds; null where the limit is blank.
 * Throws where it can't be.
 */
export function expectedSomewhere(one: MeasuredCheck, random: Random): Range | null {
  const { check, kit } = one
  if (check.does.expectation === null) return null
  const before = walkedTo(one, random)
  for (let turn = 0; turn < 100; turn++) {
    const { range, problem } = expectedAt(kit, factsFor(kit, random), before, check)
    if (problem) throw new Error(problem)
    if (range) return range
  }
  throw new Error(`The limit of “${one.title}” holds at no position.`)
}

/** A walk on which the readings are taken that the limit is worked out of, each as it should be. */
function walkedTo({ check }: MeasuredCheck, random: Random): Walk {
  const names = new Set(check.does.expectation ? namesOf(check.does.expectation) : [])
  const earlier = measuredChecks.filter(one => names.has(`reading of ${one.check.title}`.toLowerCase()))
  const path = earlier.map(one => {
    const range = expectedSomewhere(one, random)
    const { min, max, unit } = range ?? { min: 1, max: 3, unit: one.check.does.unit }
    const value = min === null ? (max ?? 1) / 2 : max === null ? min * 2 : (min + max) / 2
    const reading = { kind: 'value' as const, value, resolution: value / 1000, unit }
    return {
      kind: 'check' as const,
      check: one.check,
      finding: { kind: 'reading' as const, check: refOf(one.check), reading },
    }
  })
  return { ...walk(knowledge, check.tree, []), path } as unknown as Walk
}

function measuredCheck(tree: FaultTree, check: Check): MeasuredCheck[] {
  const kit = knowledge.equipment.get(tree.equipment)
  const { does } = check
  if (!kit || does.kind !== 'measure') return []
  return [{ title: `${tree.slug}, ${check.title}`, check: { ...check, does }, kit }]
}

function compiledPack(): Knowledge {
  const compiled = compile(readKnowledge('knowledge').files)
  if (!compiled.knowledge) throw new Error('The knowledge folder has errors.')
  return compiled.knowledge
}
