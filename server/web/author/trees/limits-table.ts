import type { Equipment } from '../../../knowledge/types.ts'
import { columns, row, type Table } from '../../partials.ts'

/** The limits of one kind of equipment, each with where it comes from. */
export function limitsTable({ name, limits }: Equipment): Table {
  return {
    caption: name,
    columns: columns('Limit', 'Value', 'Unit', 'Source'),
    rows: limits.map(limit =>
      row(
        limit.name,
        limit.expectation ? limit.text : { mark: { kind: 'no-verdict', word: 'blank' } },
        limit.unit,
        { text: limit.from, note: limit.demo ? 'demo value' : null },
      ),
    ),
    empty: 'No limits.',
  }
}
