import { findUnit, nearestUnit } from '../../measurement/readings/units.ts'
import type { Problem } from '../problem.ts'
import type { Document, Section } from '../read/document.ts'
import { wholeRows } from '../read/section-kinds.ts'
import { readCell, readChoices } from '../read/values.ts'
import type { LinkContext } from './context.ts'
import { problemAt, quoted } from './problem-at.ts'

/** An unknown unit in the table of facts or of limits: `| cable length | metters | … |`. */
export function unitUnknown({ drafts }: LinkContext): Problem[] {
  // A file full of mistakes stays cheap: the hundredth hint helps no reader.
  let hints = 50
  const hint = (cell: string) => (hints-- > 0 ? (nearestUnit(cell)?.symbol ?? null) : null)
  return drafts.equipment.flatMap(({ doc, facts, limits }) => [
    ...column(doc, facts, 1, hint, cell => readChoices(cell).length === 0),
    ...column(doc, limits, 2, hint, (cell, value) => readCell(cell) !== null || readCell(value) === null),
  ])
}

function column(
  doc: Document,
  section: Section | null,
  index: number,
  hint: (cell: string) => string | null,
  counts: (cell: string, value: string) => boolean,
): Problem[] {
  return wholeRows(section).flatMap(row => {
    const cell = row.cells[index] ?? ''
    if (!counts(cell, row.cells[1] ?? '') || findUnit(cell)) return []
    return problemAt(doc, row.line, {
      code: 'unit-unknown',
      found: `${quoted(cell)} is no unit that is known here.`,
      expected: 'Known units are V AC, V DC, A, ohm, Hz, m, mm², s, °C, mph and their like.',
      mend: 'Correct the unit, or write choices with “ / ” between them.',
      hint: hint(cell),
    })
  })
}
