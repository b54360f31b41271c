// One unit: where it stood, and what the workshop found.

import type { WorkshopVisit } from '../../../storage/history/review-later.ts'
import type { Storage } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import { columns, row, type Table } from '../../partials.ts'

type Stay = ReturnType<Storage['units']['historyOfUnit']>[number]

export function staysTable(stays: Stay[], times: Times): Table {
  return {
    caption: 'Stays, newest first',
    captionHidden: true,
    columns: columns('Position', 'Fitted', 'Taken out'),
    rows: stays.map(stay => ({
      ...row(
        { text: `${stay.siteName}, ${stay.positionName}`, href: `/review/positions/${stay.positionId}` },
        times.day(stay.fittedAt),
        stay.removedAt ? times.day(stay.removedAt) : 'fitted now',
      ),
      current: !stay.removedAt,
    })),
    empty: 'It was never fitted.',
  }
}

export function visitsTable(visits: WorkshopVisit[], times: Times): Table {
  return {
    caption: 'What the workshop found, newest first',
    captionHidden: true,
    columns: columns('When', 'Result', 'Words', 'Told by'),
    rows: visits.map(one => row(times.day(one.at), capitalize(one.result), one.words, one.byName)),
    empty: 'Nothing was told yet.',
  }
}
