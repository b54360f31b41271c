import type { Problem } from '../problem.ts'
import { keyOf, type Section } from '../read/document.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

/**
 * A check with neither `Measure:` nor `Observe:`, with both,
 * or an observation with `Expect:`, `Source:` or `Blind:`.
 */
export function measureOrObserve(draft: Draft): Problem[] {
  if (draft.kind !== 'tree') return []
  return draft.checks.flatMap(section => {
    const words = fault(section)
    if (words === null) return []
    return problemAt(draft.doc, words.line, {
      code: 'measure-or-observe',
      found: words.words,
      expected: 'A check has one of Measure: and Observe:; what is expected belongs to a measurement only.',
      mend: 'Write - Measure: and the quantity, or - Observe: and what is looked at. An end has - End: instead.',
    })
  })
}

function fault(section: Section): { line: number; words: string } | null {
  const measure = keyOf(section, 'Measure')
  const observe = keyOf(section, 'Observe')
  const title = quoted(section.title)
  if (measure && observe) return { line: observe.line, words: `${title} both measures and observes.` }
  if (!measure && !observe) return { line: section.line, words: `${title} neither measures nor observes.` }
  const does = measure ?? observe
  if (does?.value === '') return { line: does.line, words: `Nothing stands after ${does.key}:.` }
  const odd = observe && ['Expect', 'Source', 'Blind'].map(key => keyOf(section, key)).find(line => line)
  return odd ? { line: odd.line, words: `${title} observes, and yet has ${odd.key}:.` } : null
}
