import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A cause with no words on what to do about it. */
export function causeNoRemedy(draft: Draft): Problem[] {
  if (draft.kind !== 'equipment') return []
  return draft.causes
    .filter(section => section.prose.length === 0)
    .map(section =>
      problemAt(draft.doc, section.line, {
        code: 'cause-no-remedy',
        found: `The cause ${quoted(section.title)} says nothing about its remedy.`,
        expected: 'Under the keys of a cause stands what to do about it, in sentences.',
        mend: 'Write the remedy, or whom to tell where the repair is not the technician’s.',
      }),
    )
}
