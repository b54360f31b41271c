import type { Request, Response } from 'express'
import { AppError } from '../../../errors.ts'
import { orderOf } from '../../../exchange/parse-date.ts'
import { guessMark } from '../../../exchange/parse-number.ts'
import { readApart } from '../../../exchange/read-apart.ts'
import { type Field, fieldsOf, guessColumns, type Subject, subjects } from '../../../exchange/subjects.ts'
import { limits, type ReadOptions, Refused, type Table, textOf } from '../../../exchange/table.ts'
import type { Deps } from '../../deps.ts'
import { renderErrors, renderPage } from '../../host/page.ts'
import { person } from '../../host/visitor.ts'
import { readSentFile } from './import-file.ts'
import { fieldsTable, importsTable, subjectChoices } from './import-tables.ts'
import { type Upload, uploadsOf } from './import-uploads.ts'

/** What may be brought in, and what was. */
export const index = (deps: Deps) => (_req: Request, res: Response) => {
  renderPage(res, 'engineer/bring-in/import', locals(deps))
}

/** Takes the file, reads it apart from the program, and goes on to its columns. Nothing is on record yet. */
export const create = (deps: Deps) => async (req: Request, res: Response) => {
  const read = await readSentFile(req)
  const page = locals(deps)
  const subject = read.ok ? subjects.find(one => one === read.sent.fields.subject) : undefined
  const errors: Record<string, string> = {}
  if (!read.ok) errors.file = read.error
  else if (!subject) errors.subject = 'Say what the file holds.'
  if (!read.ok || !subject)
    return renderErrors(res, 'engineer/bring-in/import', {
      ...page,
      values: read.ok ? read.sent.fields : {},
      errors,
    })
  const { bytes, name } = read.sent
  try {
    const table = await readApart(bytes)
    const base = { by: person(res).id, subject, fileName: name, bytes, options: {}, table }
    const upload = uploadsOf(deps).add({ ...base, ...guessed(deps, subject, table), meanings: null })
    res.redirect(303, `/import/files/${upload.id}`)
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    renderErrors(res, 'engineer/bring-in/import', {
      ...page,
      values: { subject },
      errors: { file: error.message },
    })
  }
}

/** What was brought in, and what came of it. */
export const show = (deps: Deps) => (req: Request, res: Response) => {
  const found = deps.storage.imports.find(String(req.params.import))
  if (!found) throw new AppError('not found', 'There is no such import.')
  renderPage(res, 'engineer/bring-in/import-done', { title: `Import of ${found.subject}`, desk: true, found })
}

/** The file named in the address, of this engineer. Throws not found when it was forgotten. */
export function readUpload(deps: Deps, req: Request, res: Response): Upload {
  const upload = uploadsOf(deps).find(String(req.params.file), person(res).id)
  if (!upload) throw new AppError('not found', 'This file is no longer here. Send it again.')
  return upload
}

/** Reads the file again in another way, and guesses afresh. Throws Refused. */
export async function readAgain(deps: Deps, upload: Upload, options: ReadOptions): Promise<void> {
  const table = await readApart(upload.bytes, options)
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

function guessed(deps: Deps, subject: Subject, table: Table) {
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
    ...{
      title: 'Bring in',
      desk: true,
      subjects: subjectChoices(),
      values: {},
      megabytes: limits.bytes / 1e6,
      rows: limits.rows,
    },
    fields: subjects.map(subject => ({ subject, table: fieldsTable(subject, fieldsFor(deps, subject)) })),
    imports: importsTable(deps.storage.imports.list(50), deps.times),
  }
}
