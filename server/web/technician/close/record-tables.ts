import type { Times } from '../../../times.ts'
import type { DisturbedItem } from '../../../walk/disturbed.ts'
import { protectionWords } from '../../../walk/protection.ts'
import type { Attendance, Swap, Told } from '../../../walk/record.ts'
import type { TestMade } from '../../../walk/tests-after-work.ts'
import type { Deps } from '../../deps.ts'
import { columns, type Mark, type SummaryRow, type Table } from '../../partials.ts'
import { causeTitle } from '../../titles.ts'
import type { FaultInHand } from '../in-hand/fault-in-hand.ts'
import { faultWords } from '../in-hand/place-in-walk.ts'
import { conditionRows } from '../report/condition-fields.ts'

/** The fault in few lines: what was reported, and how it ended. */
export function recordRows(deps: Deps, { record, tree }: FaultInHand): SummaryRow[] {
  const { fault, closure } = record
  const outcome = closure ? `${closure.outcome}${closure.clearedItself ? ', cleared itself' : ''}` : 'open'
  return [
    { key: 'Fault', value: faultWords(fault.number) },
    { key: 'Symptom', value: fault.symptom },
    { key: 'Noticed', value: fault.noticed },
    { key: 'Reported', value: `${deps.times.moment(fault.reportedAt)} by ${fault.reportedBy}` },
    { key: 'Train protection', value: protectionWords[fault.protection] },
    { key: 'Fault tree', value: `${tree.title}, edition ${fault.editionId.slice(0, 8)}` },
    { key: 'Outcome', value: outcome },
    ...(closure?.cause ? [{ key: 'Cause', value: causeTitle(deps, closure.cause) }] : []),
    ...(closure
      ? [
          { key: 'Changed', value: closure.changed },
          ...testRows(closure.testsAfterWork ?? []),
          { key: 'Note for the next person', value: closure.words },
          { key: 'Told', value: toldWords(deps.times, closure.told) },
        ]
      : []),
    ...conditionRows(record.conditions),
  ]
}

/** The tests after work that passed, a row each. */
export function testRows(tests: readonly TestMade[]): SummaryRow[] {
  return tests.map(({ test, by, madeBy }) => ({
    key: 'Test after work',
    value: `${test}: passed, by ${madeBy}${by === 'second person' ? ', second person' : ''}`,
  }))
}

function toldWords(times: Times, told: Told | null | undefined): string {
  if (!told) return 'not noted'
  return `${told.who}, ${times.moment(told.at)}${told.said ? `: ${told.said}` : ''}`
}

/** Who attended, and how they were protected. */
export function attendanceTable(times: Times, attendances: Attendance[]): Table {
  return {
    caption: 'Who attended, and how they were protected',
    captionHidden: true,
    columns: columns('Who', 'From', 'To', 'Spoke to', 'Protection from trains', 'Isolated'),
    rows: attendances.map(one => ({
      cells: [
        { text: one.personName },
        { text: times.moment(one.startedAt) },
        { text: one.endedAt ? times.moment(one.endedAt) : 'still there', note: one.endedHow },
        { text: one.spokenTo },
        { text: one.protectionWords },
        { text: one.isolationWords },
      ],
    })),
  }
}

/** A reading or a proof as the record shows it, with what it was held against then. */
export interface RecordedReading {
  title: string
  text: string
  /** As it was typed. */
  typed: string
  /** It was corrected since. */
  struck: boolean
  proof: boolean
  /** A proof taken while something that bears on it was disturbed. */
  setAside: boolean
  /** Where there was no limit: the instruction a proof was judged by. */
  judgedBy: string | null
  expected: string
  from: string | null
  because: string
  mark: Mark
  /** SVG; empty where nothing was expected. */
  bar: string
  instrument: string
  byName: string
  at: string
}

/** Readings against what was expected, as it was then. */
export function readingTable(times: Times, readings: RecordedReading[]): Table {
  return {
    caption: 'Readings against what was expected, as it was then',
    captionHidden: true,
    columns: columns('Check', 'Read', 'Expected', 'Verdict', 'With', 'Who'),
    rows: readings.map(one => ({
      cells: [
        { text: one.title, note: proofNote(one) },
        {
          text: one.text,
          struck: one.struck,
          note: one.text.startsWith(one.typed) ? null : `typed ${one.typed}`,
        },
        { html: one.bar, text: one.expected, note: one.from ?? one.judgedBy },
        { mark: one.mark, text: '', note: one.because },
        { text: one.instrument },
        { text: one.byName, note: times.clock(one.at) },
      ],
    })),
    empty: 'No reading was taken.',
  }
}

function proofNote({ proof, setAside }: RecordedReading): string | null {
  if (!proof) return null
  return setAside ? 'proof, does not count: something was disturbed' : 'proof'
}

/** Units changed; null when none was. */
export function swapTable(swaps: Swap[]): Table | null {
  if (swaps.length === 0) return null
  return {
    caption: 'Units changed',
    captionHidden: true,
    columns: columns('Unit', 'Out', 'In', 'Settings, as found and as left', 'Not as on record', 'Override'),
    rows: swaps.map(swap => ({
      cells: [
        { text: swap.kind },
        { text: swap.serialOut, note: swap.variantOut },
        { text: swap.serialIn, note: swap.variantIn },
        { text: settingWords(swap) },
        { text: swap.differences?.join(' ') || 'nothing' },
        { text: swap.override ? `${swap.override.byName}: ${swap.override.reason}` : 'none' },
      ],
    })),
  }
}

function settingWords({ settings }: Swap): string {
  return settings.map(one => `${one.name}: ${one.asFound} → ${one.asLeft}`).join('; ') || 'none'
}

/** Everything disturbed, and whether it is back. */
export function disturbedTable(times: Times, disturbed: DisturbedItem[]): Table {
  return {
    caption: 'Everything disturbed',
    captionHidden: true,
    columns: columns('What', 'Since', 'State', 'Who'),
    rows: disturbed.map(item => ({
      cells: [
        { text: item.item },
        { text: times.clock(item.since) },
        { mark: stateMark(item), text: '' },
        {
          text: item.restoration ? `${item.restoration.byName}, ${times.clock(item.restoration.at)}` : '',
        },
      ],
    })),
    empty: 'Nothing was disturbed.',
  }
}

function stateMark({ restoration, state }: DisturbedItem): Mark {
  if (restoration) return { kind: 'restored', word: state }
  return { kind: 'disturbed', word: state === 'perhaps' ? 'perhaps disturbed' : 'still disturbed' }
}
