import type { HowEnded, PositionDue } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import { columns, type Mark, type SummaryRow, type Table, type TableCell } from '../../partials.ts'
import type { dueWords } from './rounds-due.ts'
import type { RoundInHand } from './rounds-in-hand.ts'

const endMarks: Record<HowEnded, string> = {
  healthy: 'in',
  'healthy in part': 'close',
  'fault found': 'out',
  'broken off': 'skipped',
}

/** How a round ended, with its mark. */
export function roundEndMark(how: HowEnded): Mark {
  return { kind: endMarks[how], word: how }
}

/** A round in few lines; `faultReported`: whether the fault it found has been reported. */
export function roundRows(times: Times, round: RoundInHand, faultReported: boolean): SummaryRow[] {
  const { visit, end } = round.record
  const ended: SummaryRow = end
    ? { key: 'Ended', value: times.moment(end.at), mark: roundEndMark(end.how) }
    : { key: 'Ended', value: 'not yet', mark: { kind: 'open', word: 'under way' } }
  return [
    { key: 'Round', value: `${round.tree.title}, edition ${visit.editionId.slice(0, 8)}` },
    { key: 'Begun', value: `${times.moment(visit.at)} by ${visit.byName}` },
    { key: 'Plate read', value: visit.plate },
    ended,
    ...(end?.words ? [{ key: 'Note for the next person', value: end.words }] : []),
    ...(end?.faultId && faultReported ? [faultRow(end.faultId)] : []),
  ]
}

function faultRow(id: string): SummaryRow {
  return { key: 'Fault', link: { href: `/faults/${id}`, text: 'reported, see the fault' } }
}

/** Everything a round disturbed and whether it is back. */
export function disturbedInRound(times: Times, { disturbed }: RoundInHand): Table {
  return {
    caption: 'Everything disturbed',
    captionHidden: true,
    columns: columns('What', 'Since', 'State', 'Who'),
    rows: disturbed.map(({ item, since, state, restoration }) => ({
      cells: [
        { text: item },
        { text: times.clock(since) },
        { mark: { kind: restoration ? 'restored' : 'disturbed', word: state }, text: '' },
        { text: restoration ? `${restoration.byName}, ${times.clock(restoration.at)}` : '' },
      ],
    })),
    empty: 'Nothing was disturbed.',
  }
}

/** Which of the positions are listed. */
export const shownLists = ['due', 'not shown', 'all'] as const
export type Shown = (typeof shownLists)[number]

const captions: Record<Shown, string> = {
  due: 'Due or overdue, the longest overdue first',
  'not shown': 'Positions whose failure is not shown to the signaller',
  all: 'Every position in service',
}

/** When positions were last seen healthy and are due again; `mayBegin`: the visitor may begin a round. */
export function dueTable(
  rows: (PositionDue & ReturnType<typeof dueWords>)[],
  shown: Shown,
  mayBegin: boolean,
): Table {
  return {
    caption: captions[shown],
    columns: columns('Position', 'Failure shown', 'Last seen healthy', 'Due', 'State', 'Round'),
    rows: rows.map(row => ({
      cells: [
        {
          text: row.positionName,
          href: `/positions/${row.positionId}`,
          note: row.openFaults ? `${row.siteName} · a fault is open` : row.siteName,
        },
        { text: row.indicated ? 'yes' : 'no' },
        { text: row.seen, note: row.how },
        { text: row.due, note: row.intervalDays ? `every ${row.intervalDays} days` : null },
        { mark: row.mark, text: '' },
        roundCell(row, mayBegin),
      ],
    })),
    empty: shown === 'due' ? 'Nothing is due.' : 'No position matches.',
  }
}

function roundCell({ positionId, openVisitId, openVisitBy }: PositionDue, mayBegin: boolean): TableCell {
  if (openVisitId) return { text: 'under way', href: `/rounds/${openVisitId}`, note: openVisitBy }
  return mayBegin ? { text: 'Begin', href: `/positions/${positionId}/rounds/new` } : { text: '' }
}

/** The three lists of positions, each with its address; the one that is shown has none. */
export function listLinks(shown: Shown, search: string, counts: { unseen: number; all: number }) {
  const lists: { show: Shown; words: string }[] = [
    { show: 'due', words: 'Due or overdue' },
    { show: 'not shown', words: `Failure not shown (${counts.unseen})` },
    { show: 'all', words: `All (${counts.all})` },
  ]
  return lists.map(({ show, words }) => ({ words, href: show === shown ? null : listAddress(show, search) }))
}

function listAddress(show: Shown, search: string): string {
  return `/rounds?show=${encodeURIComponent(show)}&search=${encodeURIComponent(search)}`
}
