import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { sentencesOf } from '../read/sentences.ts'
import { problemAt } from './problem-at.ts'

const MOST_WORDS = 20

/** A sentence of more than 20 words, in an instruction, a caution or a remedy. A warning. */
export function sentenceLong(draft: Draft): Problem[] {
  return sentencesOf(draft).flatMap(({ text, line }) => {
    // So many words take at least so many letters and spaces.
    if (text.length < 2 * MOST_WORDS) return []
    const words = text.split(' ').filter(word => /[\p{L}\p{N}]/u.test(word)).length
    if (words <= MOST_WORDS) return []
    return problemAt(draft.doc, line, {
      code: 'sentence-long',
      severity: 'warning',
      found: `A sentence here has ${words} words.`,
      expected: `A sentence has at most ${MOST_WORDS} words: it is read in the rain, at night.`,
      mend: 'Make two sentences of it.',
    })
  })
}
