import { runExample } from '../examples.ts'
import type { Problem } from '../problem.ts'
import type { TreeDraft } from '../read/draft.ts'
import type { Example, FaultTree } from '../types.ts'
import type { GraphContext } from './context.ts'
import { problemAt } from './problem-at.ts'

/**
 * An example run that does not end where it says: `- Ends at:
 * [Fuse blown](…)`, and the findings lead elsewhere.
 */
export function exampleFails(context: GraphContext): Problem[] {
  return context.drafts.trees.flatMap(draft => {
    const tree = context.knowledge.trees.get(draft.doc.slug)
    const kit = tree && context.equipment.get(tree.equipment)
    if (!tree || !kit || isDamaged(context, [draft.doc.path, kit.source.path])) return []
    return tree.examples.flatMap(example => problem(context, draft, tree, example) ?? [])
  })
}

function problem(context: GraphContext, draft: TreeDraft, tree: FaultTree, example: Example): Problem | null {
  const { wrong, path } = runExample(context.knowledge, tree, example)
  const passed = path.map(step => step.check.source.path)
  if (!wrong || isDamaged(context, passed)) return null
  const section = draft.examples.find(candidate => candidate.line === example.source.line)
  const endLine = section?.keys.find(line => line.key === 'Ends at')?.line
  const line = wrong.finding === null ? endLine : section?.items[wrong.finding]?.line
  return problemAt(draft.doc, line ?? example.source.line, {
    code: 'example-fails',
    found: wrong.words,
    expected: 'An example gives a finding for each check it comes to, and ends where “Ends at” says.',
    mend: 'Correct the example, or the tree if the example is right.',
  })
}

function isDamaged({ damaged }: GraphContext, paths: string[]): boolean {
  return paths.some(path => damaged.has(path))
}
