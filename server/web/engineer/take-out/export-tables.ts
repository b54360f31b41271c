import type { ExportTable } from '../../../storage/storage.ts'
import { columns, row } from '../../partials.ts'

/** A table that can be taken out, with how much it holds and what its columns mean. */
export function exportedTable({ name, about, rows, columns: held }: ExportTable) {
  return {
    name,
    about,
    rowsWords: `${rows.toLocaleString('en-GB')} ${rows === 1 ? 'row' : 'rows'}`,
    columnsTable: {
      caption: `Columns of ${name}`,
      captionHidden: true,
      columns: columns('Column', 'Holds', 'Kind'),
      rows: held.map(column => row(column.name, column.about, column.kind)),
    },
  }
}
