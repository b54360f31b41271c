import type { Problem } from '../problem.ts'
import { reachedTargets } from './check-unreachable.ts'
import type { GraphContext } from './context.ts'
import { problemAt, quoted } from './problem-at.ts'

/** An end that no walk comes to. A warning. */
export function endUnreached(context: GraphContext): Problem[] {
  if (context.damaged.size > 0) return []
  const reached = reachedTargets(context)
  return context.drafts.trees.flatMap(({ doc, ends }) =>
    ends
      .filter(section => !reached.has(`${doc.slug}#${section.slug}`))
      .map(section =>
        problemAt(doc, section.line, {
          code: 'end-unreached',
          severity: 'warning',
          found: `No row leads to the end ${quoted(section.title)}.`,
          expected: 'Every end is where some walk ends.',
          mend: 'Link it from a row, or delete it.',
        }),
      ),
  )
}
