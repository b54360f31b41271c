import { type Field, type Subject, subjects } from '../../../exchange/subjects.ts'
import type { ImportRow } from '../../../storage/exchange/imports.ts'
import type { Times } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'

export function subjectChoices() {
  return subjects.map(one => ({ value: one, label: capitalize(one) }))
}

/** What a file of each subject may hold. */
export function fieldsTable(subject: Subject, fields: Field[]): Table {
  return {
    caption: `Columns for ${subject}`,
    captionHidden: true,
    columns: columns('Column', 'Needed', 'What it is'),
    rows: fields.map(({ title, required, about }) => row(title, required ? 'yes' : '', about)),
  }
}

export function importsTable(imports: ImportRow[], times: Times): Table {
  return {
    caption: 'Files brought in, newest first',
    captionHidden: true,
    columns: columns(
      'When',
      'What',
      'File',
      'By',
      numbers('New'),
      numbers('Changed'),
      numbers('Same'),
      numbers('Left out'),
    ),
    rows: imports.map(one =>
      row(
        { text: times.moment(one.at), href: `/import/${one.id}` },
        one.subject,
        one.fileName,
        one.byName,
        one.added,
        one.changed,
        one.same,
        one.leftOut,
      ),
    ),
    empty: 'Nothing was brought in yet.',
  }
}
