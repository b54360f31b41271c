import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import { wholeRows } from '../read/section-kinds.ts'
import type { LinkContext } from './context.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A row of the tests after work for a cause that the file has not: the test would never be asked for. */
export function testCauseUnknown({ drafts }: LinkContext): Problem[] {
  const hint = hinter()
  return drafts.equipment.flatMap(({ doc, causes, testsAfterWork }) => {
    const titles = causes.map(section => section.title)
    return wholeRows(testsAfterWork).flatMap(({ line, cells }) => {
      const cause = (cells[0] ?? '').trim()
      if (cause.toLowerCase() === 'every repair' || titles.includes(cause)) return []
      return problemAt(doc, line, {
        code: 'test-cause-unknown',
        found: `There is no cause ${quoted(cause)} in this file.`,
        expected: 'The first cell is the title of a cause below Causes, or “every repair”.',
        mend: 'Correct the title, or add the cause.',
        hint: hint(cause, titles),
      })
    })
  })
}
