import type { Problem } from '../problem.ts'
import { wholeRows } from '../read/section-kinds.ts'
import { readTester } from '../read/values.ts'
import type { LinkContext } from './context.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A row of the tests after work that does not say who makes the test. */
export function testerUnknown({ drafts }: LinkContext): Problem[] {
  return drafts.equipment.flatMap(({ doc, testsAfterWork }) =>
    wholeRows(testsAfterWork)
      .filter(({ cells }) => !readTester(cells[2] ?? ''))
      .flatMap(({ line, cells }) =>
        problemAt(doc, line, {
          code: 'tester-unknown',
          found: `${quoted(cells[2] ?? '')} does not say who makes the test.`,
          expected: 'The third cell is “technician” or “second person”.',
          mend: 'Write one of the two.',
        }),
      ),
  )
}
