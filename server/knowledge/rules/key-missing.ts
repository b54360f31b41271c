import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import type { Draft } from '../read/draft.ts'
import { KEYS, sectionsOf } from '../read/section-kinds.ts'
import { problemAt } from './problem-at.ts'

/**
 * A section without a key it must have, or with nothing after
 * it: a tree without `- Start: [First check](#first-check)`.
 */
export function keyMissing(draft: Draft): Problem[] {
  return sectionsOf(draft).flatMap(({ kind, section }) =>
    KEYS[kind].needed
      .filter(key => !keyOf(section, key)?.value)
      .map(key =>
        problemAt(draft.doc, keyOf(section, key)?.line ?? section.line, {
          code: 'key-missing',
          found: `There is no ${key}: here, or nothing after it.`,
          expected: `This section needs the keys ${KEYS[kind].needed.join(', ')}.`,
          mend: `Add a line - ${key}: … under the heading.`,
        }),
      ),
  )
}
