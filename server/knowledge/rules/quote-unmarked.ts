import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { sectionsOf } from '../read/section-kinds.ts'
import { problemAt } from './problem-at.ts'

/** A quoted block that does not say what it is: `> Mind the terminals.` */
export function quoteUnmarked(draft: Draft): Problem[] {
  return sectionsOf(draft).flatMap(({ section }) =>
    section.quotes
      .filter(quote => !quote.marked)
      .map(quote =>
        problemAt(draft.doc, quote.line, {
          code: 'quote-unmarked',
          found: 'A quoted block stands here that is not marked as a caution.',
          expected: 'A quoted block is a caution, and begins with **Caution** or **Warning**.',
          mend: 'Write > **Caution** first, or take the > away where it is no caution.',
        }),
      ),
  )
}
