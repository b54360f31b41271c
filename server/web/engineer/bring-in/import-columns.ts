import { z } from 'zod'
import { type OrderOf, settleOrder } from '../../../exchange/parse-date.ts'
import type { Field } from '../../../exchange/subjects.ts'
import { delimiters, encodings, Refused, textOf } from '../../../exchange/table.ts'
import { plainWords } from '../../../plain-words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirect } from '../../host/answer.ts'
import { readForm, ticked } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import {
  columnChoices,
  columnFields,
  readingChoices,
  sampleTable,
  skippedWords,
} from './import-columns-fields.ts'
import type { Upload } from './import-uploads.ts'
import { eachFewRows, fieldsFor, readAgain, readUpload } from './read-upload.ts'

const howRead = z.object({
  encoding: z.enum(encodings).optional().catch(undefined),
  delimiter: z.enum(delimiters).optional().catch(undefined),
  sheet: z.string().max(200).optional(),
  headerLine: z.coerce.number().int().min(1).max(1_000_000).optional().catch(undefined),
  wholeEnd: ticked.catch(false),
})
const mapped = z.object({
  dateOrder: z.enum(['day first', 'month first']).optional().catch(undefined),
  decimalMark: z.enum(['point', 'comma']).catch('point'),
})

/** Which column is what, with the first rows to see. */
export const show = (deps: Deps) => async (req: Request) => {
  return page('engineer/bring-in/import-columns', await locals(deps, readUpload(deps, req)))
}

/** Reads the file again with another encoding, delimiter or sheet. */
export const reread = (deps: Deps) => async (req: Request) => {
  const upload = readUpload(deps, req)
  const form = readForm(howRead, req)
  try {
    await readAgain(deps, upload, form.ok ? form.data : {})
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    const errors = { encoding: error.message }
    return formAgain('engineer/bring-in/import-columns', { ...(await locals(deps, upload)), errors })
  }
  return redirect(`/import/files/${upload.id}`)
}

export const update = (deps: Deps) => async (req: Request) => {
  const upload = readUpload(deps, req)
  const form = readForm(mapped, req)
  const { columns, fixed, errors } = columnsOf(deps, upload, req)
  const data = form.ok ? form.data : { decimalMark: 'point' as const, dateOrder: undefined }
  const { certain, any, example } = await datesOf(deps, upload, columns)
  const order = certain === 'day first' || certain === 'month first' ? certain : (data.dateOrder ?? null)
  if (any && order === null) errors.dateOrder = doubtful(example, certain)
  Object.assign(upload, {
    columns,
    fixed,
    dateOrder: order ?? 'day first',
    decimalMark: data.decimalMark,
    meanings: null,
    tryOut: null,
  })
  if (Object.keys(errors).length > 0) {
    upload.dateOrder = order
    return formAgain('engineer/bring-in/import-columns', { ...(await locals(deps, upload)), errors })
  }
  const next = upload.subject === 'past faults' ? 'words' : 'check'
  return redirect(`/import/files/${upload.id}/${next}`)
}

/** Field names are sent by number: a fact's name may hold anything. */
function columnsOf(deps: Deps, { subject, table }: Upload, req: Request) {
  const columns: Record<string, number> = {}
  const fixed: Record<string, string> = {}
  const errors: Record<string, string> = {}
  const taken = new Map<number, string>()
  fieldsFor(deps, subject).forEach((field, n) => {
    const sent = String(req.body[`column${n}`] ?? '')
    const at = /^\d{1,3}$/.test(sent) ? Number(sent) : -1
    if (at < 0 || at >= table.header.length) {
      const said = field.mayBeFixed ? plainWords(String(req.body[`fixed${n}`] ?? '')).trim() : ''
      if (said !== '') fixed[field.name] = said.slice(0, 200)
      else if (field.required) errors[`column${n}`] = `Say which column is ${field.title.toLowerCase()}.`
      return
    }
    const other = taken.get(at)
    if (other) errors[`column${n}`] = `That column is taken for ${other.toLowerCase()}.`
    taken.set(at, field.title)
    columns[field.name] = at
  })
  return { columns, fixed, errors }
}

interface Dates {
  any: boolean
  /** The order that the dates themselves settle. */
  certain: ReturnType<OrderOf['order']>
  /** The first that can be read in both orders, or that there is. */
  example: string | null
}

async function datesOf(
  deps: Deps,
  { subject, table }: Upload,
  columns: Record<string, number>,
): Promise<Dates> {
  const dated = fieldsFor(deps, subject).flatMap(({ kind, name }) =>
    kind === 'date' || kind === 'day' ? (columns[name] ?? []) : [],
  )
  const settled = settleOrder()
  let first: string | null = null
  let doubtful: string | null = null
  await eachFewRows(deps, table, rows => {
    const dates = rows.flatMap(({ cells }) => dated.map(column => textOf(cells[column]).trim()))
    const texts = dates.filter(text => text !== '')
    settled.add(texts)
    first ??= texts[0] ?? null
    doubtful ??= texts.find(text => /^\d{1,2}\D\d{1,2}\D/.test(text)) ?? null
  })
  return { any: first !== null, certain: settled.order(), example: doubtful ?? first }
}

function doubtful(example: string | null, certain: Dates['certain']): string {
  if (certain === 'mixed')
    return 'Some dates can only have the day first and some only the month first. Say which holds; the others are named as bad rows.'
  return `Say which comes first in “${example}”: no date in the file settles it.`
}

async function locals(deps: Deps, upload: Upload) {
  const { table, columns } = upload
  const { certain } = await datesOf(deps, upload, columns)
  return {
    title: `Columns of ${upload.fileName}`,
    desk: true,
    upload,
    table,
    values: {},
    ...readingChoices(table),
    skipped: skippedWords(table),
    ...columnFields(fieldsFor(deps, upload.subject), columns, upload.fixed),
    columnChoices: columnChoices(table),
    hasDates: hasField(deps, upload, 'date', 'day'),
    hasFigures: hasField(deps, upload, 'fact', 'temperature'),
    sample: sampleTable(table),
    settled: certain === 'day first' || certain === 'month first' ? certain : null,
  }
}

function hasField(deps: Deps, { subject }: Upload, ...kinds: Field['kind'][]): boolean {
  return fieldsFor(deps, subject).some(field => kinds.includes(field.kind))
}
