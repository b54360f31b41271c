import { AppError } from '../../../errors.ts'
import { orderOf } from '../../../exchange/parse-date.ts'
import { guessMark } from '../../../exchange/parse-number.ts'
import { type Field, fieldsOf, guessColumns, type Subject, subjects } from '../../../exchange/subjects.ts'
import {
  type Table as FileTable,
  limits,
  type ReadOptions,
  Refused,
  textOf,
} from '../../../exchange/table.ts'
import type { ImportRow } from '../../../storage/exchange/imports.ts'
import type { Times } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirect } from '../../host/answer.ts'
import type { FormErrors } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { type Upload, uploadsOf } from './import-uploads.ts'

/** What may be brought in, and what was. */
export const index = (deps: Deps) => () => {
  return page('engineer/bring-in/import', locals(deps))
}

/** Takes the file, reads it apart from the program, and goes on to its columns. Nothing is on record yet. */
export const create = (deps: Deps) => async (req: Request) => {
  const again = (errors: FormErrors, values: Record<string, unknown> = {}) =>
    formAgain('engineer/bring-in/import', { ...locals(deps), values, errors })
  const sent = await sentFile(req)
  if ('error' in sent) return again({ file: sent.error })
  const { bytes, name, fields } = sent
  const subject = subjects.find(one => one === fields.subject)
  if (!subject) return again({ subject: 'Say what the file holds.' }, fields)
  try {
    const table = await deps.host.readTable(bytes)
    const base = { by: person(req).id, subject, fileName: name, bytes, options: {}, table }
    const upload = uploadsOf(deps).add({ ...base, ...guessed(deps, subject, table), meanings: null })
    return redirect(`/import/files/${upload.id}`)
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    return again({ file: error.message }, { subject })
  }
}

type Sent = { bytes: Uint8Array; name: string; fields: Record<string, string> } | { error: string }

/** The file of the form, or in words why there is none. */
async function sentFile(req: Request): Promise<Sent> {
  try {
    const { fields, name, file } = await req.upload(fileLimits)
    if (file) return { bytes: file, name: name || 'file', fields }
    return { error: name ? 'The file is empty.' : 'Choose a file.' }
  } catch (error) {
    if (!(error instanceof AppError)) throw error
    return { error: error.code === 'invalid' ? 'Choose a file, and send it again.' : error.message }
  }
}

const fileLimits = {
  field: 'file',
  bytes: limits.bytes,
  tooLarge: `The file is larger than ${limits.bytes / 1e6} MB. Split it.`,
}

/** What was brought in, and what came of it. */
export const show = (deps: Deps) => (req: Request) => {
  const imported = deps.storage.imports.find(String(req.params.import))
  if (!imported) throw new AppError('not found', 'There is no such import.')
  return page('engineer/bring-in/import-done', {
    title: `Import of ${imported.subject}`,
    desk: true,
    imported,
  })
}

/** The file named in the address, of this engineer. Throws not found when it was forgotten. */
export function readUpload(deps: Deps, req: Request): Upload {
  const upload = uploadsOf(deps).find(String(req.params.file), person(req).id)
  if (!upload) throw new AppError('not found', 'This file is no longer here. Send it again.')
  return upload
}

/** Reads the file again in another way, and guesses afresh. Throws Refused. */
export async function readAgain(deps: Deps, upload: Upload, options: ReadOptions): Promise<void> {
  const table = await deps.host.readTable(upload.bytes, options)
  Object.assign(upload, { options, table, meanings: null, ...guessed(deps, upload.subject, table) })
}

/** The fields of a subject, with the facts of the kinds of equipment in use. */
export function fieldsFor(deps: Deps, subject: Subject): Field[] {
  return fieldsOf(subject, [...factsInUse(deps).values()])
}

/** By name; of two kinds with a fact of one name the first is shown. */
export function factsInUse(deps: Deps) {
  const kinds = [...deps.library.current().knowledge.equipment.values()]
  const facts = kinds
    .flatMap(one => one.facts)
    .map(({ name, unit, choices, meaning }) => ({ name, unit, choices, meaning }))
  return new Map(facts.reverse().map(fact => [fact.name, fact]))
}

function guessed(deps: Deps, subject: Subject, table: FileTable) {
  const fields = fieldsFor(deps, subject)
  const columns = guessColumns(fields, table.header)
  const cellsOf = (...kinds: Field['kind'][]) =>
    fields.flatMap(field => {
      const column = columns[field.name]
      return kinds.includes(field.kind) && column !== undefined
        ? table.rows.map(row => row.cells[column] ?? '')
        : []
    })
  const order = orderOf(cellsOf('date', 'day').map(textOf))
  return {
    columns,
    dateOrder: order === 'mixed' ? null : order,
    decimalMark: guessMark(cellsOf('fact', 'temperature')),
  }
}

function locals(deps: Deps) {
  return {
    title: 'Bring in',
    desk: true,
    subjects: subjectChoices(),
    values: {},
    megabytes: limits.bytes / 1e6,
    rows: limits.rows,
    fields: subjects.map(subject => ({ subject, table: fieldsTable(subject, fieldsFor(deps, subject)) })),
    imports: importsTable(deps.storage.imports.list(50), deps.times),
  }
}

function subjectChoices() {
  return subjects.map(one => ({ value: one, label: capitalize(one) }))
}

/** What a file of each subject may hold. */
function fieldsTable(subject: Subject, fields: Field[]): Table {
  return {
    caption: `Columns for ${subject}`,
    captionHidden: true,
    columns: columns('Column', 'Needed', 'What it is'),
    rows: fields.map(({ title, required, about }) => row(title, required ? 'yes' : '', about)),
  }
}

function importsTable(imports: ImportRow[], times: Times): Table {
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
