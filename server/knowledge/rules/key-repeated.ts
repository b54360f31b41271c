import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { KEYS, sectionsOf } from '../read/section-kinds.ts'
import { problemAt, quoted } from './problem-at.ts'

/** `- Takes: 3 min` twice in one section. `Needs:`, `Fault shows:` and `Prove:` may stand more than once. */
export function keyRepeated(draft: Draft): Problem[] {
  return sectionsOf(draft).flatMap(({ kind, section }) => {
    const first = new Map<string, number>()
    return section.keys.flatMap(line => {
      const earlier = first.get(line.key)
      first.set(line.key, earlier ?? line.line)
      if (earlier === undefined || KEYS[kind].repeated.includes(line.key)) return []
      return problemAt(draft.doc, line.line, {
        code: 'key-repeated',
        found: `${quoted(`${line.key}:`)} stands here a second time.`,
        expected: 'Each key stands once in its section.',
        mend: 'Delete one of the two lines.',
        related: [{ source: { path: draft.doc.path, line: earlier }, note: 'first written here' }],
      })
    })
  })
}
