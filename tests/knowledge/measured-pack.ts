// The measuring checks of the knowledge in this repository, and positions invented for them.

import { factsFor } from '../../server/demo/railway/facts.ts'
import type { Random } from '../../server/demo/random.ts'
import { compile } from '../../server/knowledge/compile.ts'
import { readKnowledge } from '../../server/knowledge/load.ts'
import type { Check, Equipment, FaultTree, Knowledge, Measures } from '../../server/knowledge/types.ts'
import type { Range } from '../../server/measurement/limits/expectation.ts'
import { expectedAt } from '../../server/walk/expected.ts'
import { walk } from '../../server/walk/place.ts'

export interface MeasuredCheck {
  title: string
  check: Check & { does: Measures }
  kit: Equipment
}

const knowledge = compiledPack()

export const measuredChecks: MeasuredCheck[] = [...knowledge.trees.values()].flatMap(tree =>
  [...tree.checks.values()].flatMap(check => measuredCheck(tree, check)),
)

/** What the check expects at a position with facts by chance; null where the limit is blank. Throws where it can't be. */
export function expectedSomewhere({ check, kit }: MeasuredCheck, random: Random): Range | null {
  const { range, problem } = expectedAt(kit, factsFor(kit, random), walk(knowledge, check.tree, []), check)
  if (problem) throw new Error(problem)
  return range
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
