import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

/**
 * A file that does not begin with its one `# Title`: words or
 * `## A check` stand first, or `# Another title` comes later.
 */
export function titleMissing({ doc }: Draft): Problem[] {
  const [first, ...rest] = doc.sections
  const problems = rest
    .filter(section => section.level === 1 || section.title === '')
    .map(section => titleProblem(doc, section.line, `A further title stands here: ${quoted(section.title)}.`))
  if (first?.level !== 1 || first.title === '') {
    const title = first?.title
      ? `The file begins with ${quoted(first.title)}.`
      : 'The file begins without a title.'
    problems.unshift(titleProblem(doc, first?.line ?? 1, title))
  }
  return problems
}

function titleProblem(doc: Draft['doc'], line: number, found: string): Problem {
  return problemAt(doc, line, {
    code: 'title-missing',
    found,
    expected: 'A file begins with one title, # Title, and every other heading is lower and has words.',
    mend: 'Put the title on the first line, and write checks as ## and causes as ###.',
  })
}
