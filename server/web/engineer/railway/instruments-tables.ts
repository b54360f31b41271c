import type { calibration } from '../../../measurement/instruments/instrument.ts'
import type { ReadingOutOfDate } from '../../../storage/railway/instruments.ts'
import type { KeptInstrument } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import { columns, type Mark, row, type Table } from '../../partials.ts'

type Calibration = ReturnType<typeof calibration>

/** The register of instruments, each with whether its calibration is in date. */
export function registerTable(
  instruments: (KeptInstrument & { calibration: Calibration })[],
  times: Times,
): Table {
  return {
    caption: 'The register',
    columns: columns('Instrument', 'Serial', 'Measures', 'Calibration', 'In use'),
    rows: instruments.map(one =>
      row(
        { text: one.kind, href: `/instruments/register/${one.id}` },
        one.serial,
        [...new Set(one.functions.map(({ unit }) => unit))].join(', '),
        {
          mark: registerMark(one.calibration),
          note: one.calibrationDue ? `until ${times.day(one.calibrationDue)}` : 'none on record',
        },
        one.active ? 'yes' : 'retired',
      ),
    ),
    empty: 'No instrument is in the register.',
    emptyWay: { href: '/first-steps', text: 'First steps' },
  }
}

function registerMark(calibration: Calibration): Mark {
  return calibration === 'in date'
    ? { kind: 'in', word: 'in date' }
    : { kind: 'caution', word: 'out of date' }
}

/** On the page of one instrument. */
export function calibrationMark(calibration: Calibration): Mark {
  return calibration === 'in date'
    ? { kind: 'in', word: 'Calibration in date' }
    : { kind: 'caution', word: 'Calibration out of date' }
}

export function outOfDateTable(readings: (ReadingOutOfDate & { title: string })[], times: Times): Table {
  return {
    caption: 'Newest first: decide which of them to take again',
    captionHidden: true,
    columns: columns('When', 'Where', 'Check', 'Typed', 'With', 'In date until'),
    rows: readings.map(one =>
      row(
        times.moment(one.at),
        { text: `${one.siteName}, ${one.positionName}`, href: `/faults/${one.faultId}/record` },
        one.title,
        one.text,
        `${one.kind} ${one.serial}`,
        one.due ? times.day(one.due) : 'never',
      ),
    ),
    empty: 'None.',
  }
}
