import { expectOf } from '../link/expectation.ts'
import type { Problem } from '../problem.ts'
import { keyOf } from '../read/document.ts'
import { wholeRows } from '../read/section-kinds.ts'
import { readCell } from '../read/values.ts'
import type { LinkContext } from './context.ts'
import { eachSection } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A range without a source: `- Expect: 99 to 121 V AC` without `- Source:`, or a limit without one. */
export function sourceMissing(context: LinkContext): Problem[] {
  const inChecks = eachSection(context).flatMap(({ draft, kit, section }) => {
    const line = keyOf(section, 'Expect')
    const source = readCell(keyOf(section, 'Source')?.value)
    if (!line || source !== null || expectOf(line.value, kit).kind !== 'own') return []
    return problemAt(draft.doc, line.line, said(`${quoted(section.title)} gives a range and no source.`))
  })
  const limits = context.drafts.equipment.flatMap(({ doc, limits: section }) =>
    wholeRows(section)
      .filter(row => readCell(row.cells[1]) !== null && readCell(row.cells[3]) === null)
      .map(row => problemAt(doc, row.line, said(`The limit ${quoted(row.cells[0] ?? '')} has no source.`))),
  )
  return [...inChecks, ...limits]
}

function said(found: string) {
  return {
    code: 'source-missing',
    found,
    expected: 'Every value has a source: a drawing, an instruction, or “Demo value” for one made up.',
    mend: 'Say where the value comes from, or leave the limit blank.',
  }
}
