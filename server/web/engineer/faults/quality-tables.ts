// What is wrong in the record: how often, which way it bends the figures, and the newest of each kind.

import type { Defect } from '../../../history/data-quality.ts'
import type { OutOfDate, QualityFault, ReadingQuality } from '../../../storage/history/quality.ts'
import type { Times } from '../../../times.ts'
import { capitalize, percentWords } from '../../../words.ts'
import { columns, numbers, row, type Table, type TableRow } from '../../partials.ts'

export interface ShownDefect {
  defect: Defect
  title: string
  count: number
  /** Faults looked at. */
  n: number
  bends: string
  faults: (QualityFault & { at: string })[]
}

export const mostListed = 25

const lateTitle = 'Readings with an instrument out of date'
const lateId = 'out-of-date'

/** Every defect with how many it is of how many. `imported`: faults from a spreadsheet. */
export function figuresTable(
  defects: ShownDefect[],
  readings: ReadingQuality,
  imported: { count: number; withoutTime: number },
): Table {
  return {
    caption: 'What is wrong in the record, and which way it bends the figures',
    columns: columns('What', numbers('How many'), numbers('Of'), numbers('Share'), 'So'),
    rows: [
      ...defects.map(({ defect, title, count, n, bends }) =>
        figureRow({ title, id: count ? idOf(defect) : null }, count, n, capitalize(bends)),
      ),
      ...readingRows(readings),
      ...importedRows(imported, defects[0]?.n ?? 0),
    ],
  }
}

function readingRows({ readings, outOfDate, withoutInstrument }: ReadingQuality): TableRow[] {
  return [
    figureRow(
      { title: lateTitle, id: outOfDate ? lateId : null },
      outOfDate,
      readings,
      'The reading may be further off than it was judged to be: verdicts near a limit may be wrong, ' +
        'and a drift may be the meter’s',
    ),
    figureRow(
      { title: 'Readings with no instrument named', id: null },
      withoutInstrument,
      readings,
      'They were judged as if exact: verdicts near a limit look surer than they are',
    ),
  ]
}

function importedRows({ count, withoutTime }: { count: number; withoutTime: number }, n: number): TableRow[] {
  return [
    figureRow(
      { title: 'Faults from a spreadsheet', id: null },
      count,
      n,
      'They count, but nobody walked them here: no readings, no attendances, ' +
        'and causes in the depot’s own words',
    ),
    figureRow(
      { title: 'Of these, not known when put right', id: null },
      withoutTime,
      count,
      'They stand as closed when reported: times to restore drawn from them are too short',
    ),
  ]
}

/** `id`: of the list further down the page; null for none. */
function figureRow(
  { title, id }: { title: string; id: string | null },
  count: number,
  n: number,
  bends: string,
): TableRow {
  return row(id ? { text: title, href: `#${id}` } : title, count, n, percent(count, n), bends)
}

/** The newest faults of each defect, and the newest readings with an instrument out of date. */
export function defectLists(
  defects: ShownDefect[],
  { outOfDate }: ReadingQuality,
  late: (OutOfDate & { title: string })[],
  times: Times,
) {
  const lists = defects
    .filter(one => one.faults.length > 0)
    .map(one => ({ id: idOf(one.defect), title: one.title, table: faultsTable(one, times) }))
  if (late.length === 0) return lists
  return [...lists, { id: lateId, title: lateTitle, table: lateTable(late, outOfDate, times) }]
}

function faultsTable({ title, count, faults }: ShownDefect, times: Times): Table {
  return {
    ...caption(title, count),
    columns: columns('Fault', 'Position', 'Outcome'),
    rows: faults.map(fault =>
      row(
        {
          text: times.moment(fault.at),
          href: `/faults/${fault.id}`,
          note: fault.imported ? 'from a spreadsheet' : null,
        },
        { text: fault.positionName, note: fault.siteName },
        fault.outcome || 'open',
      ),
    ),
  }
}

function lateTable(late: (OutOfDate & { title: string })[], count: number, times: Times): Table {
  return {
    ...caption(lateTitle, count),
    columns: columns('When', 'Check', 'Read', 'With', 'Calibration due'),
    rows: late.map(one =>
      row(
        { text: times.moment(one.at), href: one.href },
        one.title,
        one.text,
        one.instrument,
        one.due || 'none on record',
      ),
    ),
  }
}

/** Shown only when not all are listed: the heading above says the rest. */
function caption(title: string, count: number): Pick<Table, 'caption' | 'captionHidden'> {
  const cut = count > mostListed
  return { caption: cut ? `The newest ${mostListed} of ${count}` : title, captionHidden: !cut }
}

function idOf(defect: Defect): string {
  return defect.replaceAll(' ', '-')
}

function percent(part: number, of: number): string {
  if (of === 0) return '–'
  if (part / of > 0.99) return percentWords(part / of)
  return `${((100 * part) / of).toFixed(part === 0 || part / of >= 0.1 ? 0 : 1)} %`
}
