// Units that carry their fault, and what the workshop found in those taken out.

import type { Stay } from '../../../history/units/swaps.ts'
import type { UnitFigures } from '../../../review/units.ts'
import { capitalize } from '../../../words.ts'
import { columns, row, type Table } from '../../partials.ts'
import { positionHref, type ReviewWords } from './review-words.ts'

/** Each unit that carries its fault, with where it stood and what it was taken out for. */
export function carryingUnits({ carrying }: UnitFigures, words: ReviewWords) {
  return carrying.map(({ name, record, explained }) => ({
    name,
    explained,
    href: `/review/units/${encodeURIComponent(record.id)}${words.asked.query}`,
    stays: staysTable(record.stays, words),
  }))
}

function staysTable(stays: Stay[], words: ReviewWords): Table {
  const { day, nameOf, place } = words
  return {
    caption: 'Its stays',
    captionHidden: true,
    columns: columns('Position', 'Fitted', 'Taken out', 'For', 'Workshop'),
    rows: stays.map(stay =>
      row(
        { text: place(stay.positionId), href: positionHref(stay.positionId, words) },
        day(stay.fittedMs),
        stay.removedMs === null ? 'fitted now' : day(stay.removedMs),
        stay.removedFor ? nameOf.family(stay.removedFor) : '–',
        stay.workshop || '–',
      ),
    ),
  }
}

export function testedGoodTable({ testedGood }: UnitFigures): Table {
  return {
    caption: 'Of units taken out for a fault',
    captionHidden: true,
    columns: columns('Kind of unit', 'Tested good'),
    rows: testedGood.map(one => row(capitalize(one.group), one.explained.words)),
    empty: 'No unit was taken out for a fault.',
  }
}
