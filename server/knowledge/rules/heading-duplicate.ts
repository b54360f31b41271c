import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

/** Two headings of a file with the same address: `## Supply fuse` and `## Supply fuse!`. */
export function headingDuplicate({ doc }: Draft): Problem[] {
  const first = new Map<string, number>()
  const problems: Problem[] = []
  for (const section of doc.sections) {
    if (section.level < 2 || section.slug === '') continue
    const earlier = first.get(section.slug)
    if (earlier === undefined) {
      first.set(section.slug, section.line)
      continue
    }
    problems.push(
      problemAt(doc, section.line, {
        code: 'heading-duplicate',
        found: `The heading ${quoted(section.title)} stands in this file twice.`,
        expected: 'Each heading of a file is different, for links name it.',
        mend: 'Give one of the two another name, and mend the links to it.',
        related: [{ source: { path: doc.path, line: earlier }, note: 'first written here' }],
      }),
    )
  }
  return problems
}
