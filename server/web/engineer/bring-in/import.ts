import { AppError } from '../../../errors.ts'
import { type Field, type Subject, subjects } from '../../../exchange/subjects.ts'
import { limits, Refused } from '../../../exchange/table.ts'
import type { ImportRow } from '../../../storage/exchange/imports.ts'
import type { Times } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirect } from '../../host/answer.ts'
import type { FormErrors } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { type Run, runProgress, runUnderWay } from './import-runs.ts'
import { type TryOut, type Upload, uploadsOf } from './import-uploads.ts'
import { fieldsFor, guessed } from './read-upload.ts'

/** What may be brought in, and what was. */
export const index = (deps: Deps) => (req: Request) => {
  return page('engineer/bring-in/import', { ...locals(deps, req), values: { subject: req.query.subject } })
}

/** Takes the file, reads it apart from the program, and goes on to its columns. Nothing is on record yet. */
export const create = (deps: Deps) => async (req: Request) => {
  const again = (errors: FormErrors, values: Record<string, unknown> = {}) =>
    formAgain('engineer/bring-in/import', { ...locals(deps, req), values, errors })
  const sent = await sentFile(req)
  if ('error' in sent) return again({ file: sent.error })
  const { bytes, name, fields } = sent
  const subject = subjects.find(one => one === fields.subject)
  if (!subject) return again({ subject: 'Say what the file holds.' }, fields)
  try {
    const table = await deps.host.readTable(bytes)
    const base = { by: person(req).id, subject, fileName: name, bytes, options: {}, table, fixed: {} }
    const upload = uploadsOf(deps).add({ ...base, ...(await guessed(deps, subject, table)), meanings: null })
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

function locals(deps: Deps, req: Request) {
  return {
    title: 'Bring in',
    desk: true,
    subjects: subjectChoices(),
    values: {},
    megabytes: limits.bytes / 1e6,
    rows: limits.rows,
    fields: subjects.map(subject => ({ subject, table: fieldsTable(subject, fieldsFor(deps, subject)) })),
    underWay: underWayTable(runUnderWay(deps), uploadsOf(deps).list(person(req).id)),
    imports: importsTable(deps.storage.imports.list(50), deps.times),
  }
}

function subjectChoices() {
  return subjects.map(one => ({ value: one, label: capitalize(one) }))
}

const neededWords = ({ required, forNew }: Field) => (required ? 'yes' : forNew ? 'for new ones' : '')

/** What a file of each subject may hold. */
function fieldsTable(subject: Subject, fields: Field[]): Table {
  return {
    caption: `Columns for ${subject}`,
    captionHidden: true,
    columns: columns('Column', 'Needed', 'What it is'),
    rows: fields.map(one => row(one.title, neededWords(one), one.about)),
  }
}

/** The file that is being brought in, by whomever, and the visitor's own that wait for answers; null without any. */
function underWayTable(run: Run | null, own: Upload[]): Table | null {
  const files = own.filter(upload => upload.id !== run?.fileId)
  if (!run && files.length === 0) return null
  return {
    caption: 'Files under way',
    captionHidden: true,
    columns: columns('File', 'What', 'By', 'How far'),
    rows: [
      ...(run
        ? [
            row(
              { text: run.fileName, href: `/import/${run.id}` },
              run.subject,
              run.byName,
              runProgress(run).words,
            ),
          ]
        : []),
      ...files.map(({ id, fileName, subject, tryOut }) =>
        row(
          { text: fileName, href: `/import/files/${id}${tryOut ? '/check' : ''}` },
          subject,
          'you',
          fileWords(tryOut),
        ),
      ),
    ],
  }
}

function fileWords(tryOut: TryOut | null): string {
  if (!tryOut) return 'waits for your answers'
  const { done, of } = tryOut.seen
  return done === of ? 'tried out' : `being tried out, ${done} of ${of} rows`
}

function outcomeWords({ givenUp, undoneAt }: ImportRow): string {
  if (givenUp !== null) return ': came to nothing'
  return undoneAt === null ? '' : ': undone'
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
        one.subject + outcomeWords(one),
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
