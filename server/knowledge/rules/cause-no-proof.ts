import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import type { Draft } from '../read/draft.ts'
import { linksIn } from '../read/link.ts'
import { problemAt, quoted } from './problem-at.ts'

/**
 * A cause without `- Prove: [Supply](../trees/output-dead.md#supply)`:
 * nothing would show that the repair worked.
 */
export function causeNoProof(draft: Draft): Problem[] {
  if (draft.kind !== 'equipment') return []
  return draft.causes
    .filter(section => linksIn(keyOf(section, 'Prove')?.value ?? '').length === 0)
    .map(section =>
      problemAt(draft.doc, keyOf(section, 'Prove')?.line ?? section.line, {
        code: 'cause-no-proof',
        found: `The cause ${quoted(section.title)} names no check that proves its repair.`,
        expected: 'A cause has - Prove: with a link to each check that must come back in range.',
        mend: 'Link the check that found the cause, and the one that shows the whole works.',
      }),
    )
}
