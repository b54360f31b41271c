import { memo } from '../../cache.ts'
import { reachableFrom, refKey } from '../graph.ts'
import type { Problem } from '../problem.ts'
import type { GraphContext } from './context.ts'
import { eachCheck } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A check that no walk from a `Start:` reaches, and that proves no repair. */
export function stepUnreachable(context: GraphContext): Problem[] {
  if (context.damaged.size > 0) return []
  const reached = reachedTargets(context)
  return eachCheck(context)
    .filter(({ check }) => !reached.has(refKey({ tree: check.tree, check: check.slug })))
    .map(({ draft, check }) =>
      problemAt(draft.doc, check.source.line, {
        code: 'check-unreachable',
        found: `No row leads to ${quoted(check.title)}.`,
        expected: 'Every check can be reached from the start of a tree, or proves a repair.',
        mend: 'Link it from a row, or delete it.',
      }),
    )
}

/** Keys of all that can be reached from the start of any tree, or from a check that proves a repair. */
export const reachedTargets = memo(({ knowledge }: GraphContext): Set<string> => {
  const starts = [...knowledge.trees.values()].map(tree => tree.start)
  const proofs = [...knowledge.equipment.values()].flatMap(kit =>
    [...kit.causes.values()].flatMap(cause => cause.prove),
  )
  const reached = new Set<string>()
  for (const from of [...starts, ...proofs]) {
    if (reached.has(refKey(from))) continue
    for (const key of reachableFrom(knowledge, from, reached).keys()) reached.add(key)
  }
  return reached
})
