import type { Equipment } from '../../../knowledge/types.ts'
import type { Fitting, Position, PositionDue, VisitSummary } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import { columns, type Mark, type SummaryRow, type Table, type TableCell } from '../../partials.ts'
import type { WetBeside } from '../check/wet-and-dry.ts'
import { roundEndMark } from '../rounds/round-rows.ts'
import type { dueWords } from '../rounds/rounds-due.ts'

/** The rounds at a position, newest first. */
export function roundTable(times: Times, visits: VisitSummary[]): Table {
  return {
    caption: 'Rounds at this position, newest first',
    captionHidden: true,
    columns: columns('Begun', 'By', 'Ended', 'Note for the next person'),
    rows: visits.map((visit, n) => ({
      cells: [
        { text: times.moment(visit.at), href: `/rounds/${visit.id}` },
        { text: visit.byName },
        { mark: visitMark(visit, n === 0), text: '' },
        { text: visit.words || '' },
      ],
    })),
    empty: 'No round is on record here.',
  }
}

function visitMark({ how }: VisitSummary, newest: boolean): Mark {
  if (how) return roundEndMark(how)
  return newest ? { kind: 'open', word: 'under way' } : { kind: 'skipped', word: 'left without an end' }
}

type Due = PositionDue & ReturnType<typeof dueWords>

/** A position's kind of equipment, how it is maintained, and its facts with their units. */
export function factRows(
  times: Times,
  position: Position,
  equipment: Equipment | null,
  due: Due | null,
): SummaryRow[] {
  return [
    { key: 'Equipment', value: equipment ? equipment.name : position.equipment },
    {
      key: 'A failure is shown to the signaller',
      value: position.indicated ? 'yes' : 'no: nobody sees it fail',
    },
    ...(due ? dueRows(due) : []),
    { key: 'In service since', value: times.day(position.inService) },
    { key: 'Way in', value: position.siteAccess || 'not on record' },
    ...Object.entries(position.facts).map(([name, value]) => factRow(equipment, name, value)),
  ]
}

function dueRows({ seen, how, mark, intervalDays, due }: Due): SummaryRow[] {
  return [
    { key: 'Last seen healthy', value: how ? `${seen} (${how})` : seen },
    { key: 'Next round', mark, value: intervalDays ? due : '' },
  ]
}

function factRow(equipment: Equipment | null, name: string, value: string): SummaryRow {
  const unit = equipment?.facts.find(fact => fact.name === name)?.unit
  return { key: capitalize(name), value: unit ? `${value} ${unit}` : value }
}

/** The units fitted at a position, newest first. */
export function unitTable(times: Times, fittings: Fitting[]): Table {
  return {
    caption: 'Units fitted here, newest first',
    columns: columns('Unit', 'Serial', 'Fitted', 'Taken out'),
    rows: fittings.map(one => ({
      current: !one.removedAt,
      cells: [
        { text: one.kind, note: one.variant },
        { text: one.serial },
        { text: times.day(one.fittedAt) },
        { text: one.removedAt ? times.day(one.removedAt) : 'fitted now' },
      ],
    })),
    empty: 'No unit is on record here.',
  }
}

/** The newest wet and dry readings of each check; null where no check has both. */
export function wetAndDryTable(times: Times, readings: (WetBeside & { title: string })[]): Table | null {
  if (readings.length === 0) return null
  const cell = ({ words, faultId, at }: WetBeside['dry']): TableCell => ({
    text: words,
    href: `/faults/${faultId}/record`,
    note: times.day(at),
  })
  return {
    caption: 'The newest wet and dry readings of each check',
    captionHidden: true,
    columns: columns('Check', 'Dry', 'Wet'),
    rows: readings.map(one => ({
      cells: [{ text: one.title, note: one.says }, cell(one.dry), cell(one.wet)],
    })),
  }
}
