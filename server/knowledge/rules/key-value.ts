import { findUnit } from '../../measurement/readings/units.ts'
import { readFixedRange } from '../link/expectation.ts'
import type { Problem } from '../problem.ts'
import type { Document, Section } from '../read/document.ts'
import type { Draft, EquipmentDraft } from '../read/draft.ts'
import { linksIn } from '../read/link.ts'
import { sectionsOf, wholeRows } from '../read/section-kinds.ts'
import {
  readCell,
  readConditions,
  readDay,
  readEnd,
  readFrequency,
  readKind,
  readLimitValue,
  readMethod,
  readMinutes,
  readSealed,
  readShare,
  readSlip,
  readTestVoltage,
  readYes,
} from '../read/values.ts'
import { checkMethods } from '../roles.ts'
import { oneOf, problemAt, quoted } from './problem-at.ts'

type Reader = { read: (text: string) => unknown; expected: string }

const minutes: Reader = { read: readMinutes, expected: 'a time, such as 3 min' }

/** Words alone lead nowhere. */
const link = (expected: string): Reader => ({ read: text => linksIn(text)[0] ?? null, expected })

const KEY_READERS = new Map<string, Reader>([
  ['Start', link('a link to the first check, such as [Supply](#supply)')],
  [
    'Equipment',
    link('a link to an equipment file, such as [Loop transmitter](../equipment/loop-transmitter.md)'),
  ],
  ['Takes', minutes],
  ['Kind', { read: readKind, expected: 'fault or round' }],
  ['Review by', { read: readDay, expected: 'a day, such as 2027-11-01' }],
  ['Meter', { read: findUnit, expected: 'a unit that a meter is set to, such as mV DC' }],
  [
    'Fault shows',
    { read: readFixedRange, expected: 'a range of numbers with their unit, such as 99 to 121 V AC' },
  ],
  ['Blind', { read: readYes, expected: 'yes or no' }],
  ['Slip', { read: readSlip, expected: 'a chance from 0 % to 50 %, such as 5 %' }],
  ['Method', { read: readMethod, expected: oneOf(checkMethods) }],
  ['Test voltage', { read: readTestVoltage, expected: 'a voltage, such as 500 V or at most 20 mV' }],
  ['Frequency', { read: readFrequency, expected: 'a frequency, such as 50 Hz, 65 kHz or DC' }],
  ['Electronics connected', { read: readYes, expected: 'yes or no' }],
  ['Share', { read: readShare, expected: 'a number above nought, such as 12' }],
  ['End', { read: readEnd, expected: 'no fault found, not tested, pass on or healthy' }],
])

/** A value that can't be read as what its key or column means: `- Takes: three minutes`. */
export function keyValue(draft: Draft): Problem[] {
  const keys = sectionsOf(draft).flatMap(({ section }) =>
    section.keys.flatMap(line => {
      const reader = KEY_READERS.get(line.key)
      return reader && line.value !== '' ? wrong(draft.doc, line.line, line.value, reader) : []
    }),
  )
  return draft.kind === 'tree' ? keys : [...keys, ...cells(draft)]
}

function cells(draft: EquipmentDraft): Problem[] {
  const { doc } = draft
  return [
    ...column(doc, draft.terminals, 3, { read: readSealed, expected: 'site or sealed' }),
    ...column(doc, draft.access, 1, minutes),
    ...column(doc, draft.units, 2, {
      read: readConditions,
      expected: 'anywhere, or conditions such as direction is normal; duty is overspeed or trigger',
    }),
    ...column(doc, draft.facts, 1, {
      read: readCell,
      expected: 'a unit such as m, or choices with / between',
    }),
    ...column(doc, draft.limits, 1, {
      read: readLimitValue,
      expected: 'a range, and after “, where” conditions such as duty is overspeed or trigger',
    }),
  ]
}

function column(doc: Document, section: Section | null, index: number, reader: Reader): Problem[] {
  return wholeRows(section).flatMap(row => wrong(doc, row.line, row.cells[index] ?? '', reader))
}

function wrong(doc: Document, line: number, value: string, { read, expected }: Reader): Problem[] {
  if (read(value) !== null) return []
  return [
    problemAt(doc, line, {
      code: 'key-value',
      found: `${quoted(value)} can’t be read.`,
      expected: `Here stands ${expected}.`,
      mend: 'Write the value in that form.',
    }),
  ]
}
