import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt } from './problem-at.ts'

const TAG = /<(?:[a-zA-Z][a-zA-Z0-9-]*(?=[\s/>]|$)|\/[a-zA-Z]|!|\?)/
const FENCE = /^\s{0,3}(?:```|~~~)/

/**
 * HTML in the text, `<b>live</b>` or a `<!-- note -->`: it is
 * never shown as HTML. Code in backquotes is left alone.
 */
export function rawHtml({ doc }: Draft): Problem[] {
  if (!doc.lines.some(line => line.includes('<'))) return []
  let inCode = false
  return doc.lines.flatMap((line, index) => {
    if (FENCE.test(line)) inCode = !inCode
    if (inCode || !line.includes('<') || !TAG.test(line.replace(/`[^`]*`/g, ''))) return []
    return problemAt(doc, index + 1, {
      code: 'raw-html',
      found: 'There is HTML in this line.',
      expected: 'Knowledge is written in Markdown only; HTML is shown as plain letters.',
      mend: 'Use **bold** and *italic*, delete notes to yourself, and write “less than” in words.',
    })
  })
}
