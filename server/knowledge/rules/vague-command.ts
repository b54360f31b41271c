import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { sentencesOf } from '../read/sentences.ts'
import { problemAt, quoted } from './problem-at.ts'

const VAGUE = /^(?:[^,]*, )?(?:check|ensure|make sure|verify|inspect) /i
const RESULT = /\b(?:that|is|are|if|whether|reads?|shows?|for|against|has|have)\b/i

/** `Check the fuse.`: what would a good fuse look like? A warning. */
export function vagueCommand(draft: Draft): Problem[] {
  return sentencesOf(draft)
    .filter(({ text }) => VAGUE.test(text) && !RESULT.test(text))
    .map(({ text, line }) =>
      problemAt(draft.doc, line, {
        code: 'vague-command',
        severity: 'warning',
        found: `${quoted(text)} does not say what should be seen.`,
        expected: 'A command to check or ensure names the result: “Check that the lamp is lit.”',
        mend: 'Say what should be seen, or what to do.',
      }),
    )
}
