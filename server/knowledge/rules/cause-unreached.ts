import type { Problem } from '../problem.ts'
import { reachedTargets } from './check-unreachable.ts'
import type { GraphContext } from './context.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A cause that no row of any tree leads to: no walk reaches it. */
export function causeUnreached(context: GraphContext): Problem[] {
  if (context.damaged.size > 0) return []
  const reached = reachedTargets(context)
  return context.drafts.equipment.flatMap(({ doc, causes }) =>
    causes
      .filter(section => !reached.has(`${doc.slug}/${section.slug}`))
      .map(section =>
        problemAt(doc, section.line, {
          code: 'cause-unreached',
          found: `No tree leads to the cause ${quoted(section.title)}.`,
          expected: 'Every cause is reached by a row of some tree.',
          mend: 'Lead a row of a tree to it, or delete the cause.',
        }),
      ),
  )
}
