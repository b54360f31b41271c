// A file on its way in: what its columns may be, and how they are guessed.

import { AppError } from '../../../errors.ts'
import { guessByValues } from '../../../exchange/guess-by-values.ts'
import { settleOrder } from '../../../exchange/parse-date.ts'
import { settleMark } from '../../../exchange/parse-number.ts'
import { bare, type Field, fieldsOf, guessColumns, type Subject } from '../../../exchange/subjects.ts'
import { type Table as FileTable, type ReadOptions, type Row, textOf } from '../../../exchange/table.ts'
import type { Deps } from '../../deps.ts'
import { person, type Request } from '../../host/request.ts'
import { type Upload, uploadsOf } from './import-uploads.ts'
import { rememberedColumns } from './remembered.ts'
import { slicesOf } from './slices.ts'

/** The file named in the address, of this engineer. Throws not found when it was forgotten. */
export function readUpload(deps: Deps, req: Request): Upload {
  const upload = uploadsOf(deps).find(String(req.params.file), person(req).id)
  if (!upload) throw new AppError('not found', 'This file is no longer here. Send it again.')
  return upload
}

/** Reads the file again in another way, and guesses afresh. Throws Refused. */
export async function readAgain(deps: Deps, upload: Upload, options: ReadOptions): Promise<void> {
  const table = await deps.host.readTable(upload.bytes, options)
  Object.assign(upload, {
    options,
    table,
    meanings: null,
    tryOut: null,
    ...(await guessed(deps, upload.subject, table)),
  })
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

/** Which column is what, by the names of the columns, and how dates and figures are written below them. */
export async function guessed(deps: Deps, subject: Subject, table: FileTable) {
  const fields = fieldsFor(deps, subject)
  const remembered = rememberedColumns(deps, subject, table.header)
  const columns = remembered?.columns ?? guessedColumns(deps, fields, table)
  const columnsOf = (...kinds: Field['kind'][]) =>
    fields.flatMap(field => (kinds.includes(field.kind) ? (columns[field.name] ?? []) : []))
  const [dates, figures] = [columnsOf('date', 'day'), columnsOf('fact', 'temperature')]
  const [order, mark] = [settleOrder(), settleMark()]
  await eachFewRows(deps, table, rows => {
    for (const { cells } of rows) {
      order.add(dates.map(column => textOf(cells[column])))
      mark.add(figures.map(column => cells[column] ?? ''))
    }
  })
  const settled = order.order()
  const fixed = remembered?.fixed ?? {}
  return {
    columns,
    fixed,
    remembered: remembered !== null,
    dateOrder: settled === 'mixed' ? null : settled,
    decimalMark: mark.mark(),
  }
}

/** By the names of the columns, then by what stands below them. */
function guessedColumns(deps: Deps, fields: Field[], table: FileTable): Record<string, number> {
  const named = guessColumns(fields, table.header)
  return { ...named, ...guessByValues(fields, table, named, knownNames(deps)) }
}

function knownNames({ storage, library }: Deps): Map<string, Set<string>> {
  const kits = [...library.current().knowledge.equipment.values()]
  const units = kits.flatMap(kit => kit.units)
  const names = (texts: string[]) => new Set(texts.map(bare))
  return new Map([
    ['plate', names(storage.positions.search('', 2000).map(({ plate }) => plate))],
    ['site', names(storage.sites.list({ limit: 2000 }).map(({ name }) => name))],
    ['equipment', names(kits.flatMap(({ name, slug }) => [name, slug]))],
    ['kind', names(units.map(({ kind }) => kind))],
    ['variant', names(units.map(({ variant }) => variant))],
  ])
}

/** Looks at all rows of a file, a few at a time. */
export function eachFewRows(deps: Deps, { rows }: FileTable, look: (few: Row[]) => void): Promise<void> {
  let done = 0
  return slicesOf(deps).workThrough(items => {
    look(rows.slice(done, done + items))
    done += items
    return done >= rows.length
  })
}
