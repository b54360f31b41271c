import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { type BadRow, parseRows } from '../../../exchange/parse-rows.ts'
import { type ReadyRows, readyRows } from '../../../exchange/ready-rows.ts'
import type { Loading, RowOutcome } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, ticked } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { factsInUse, fieldsFor, readUpload } from './import.ts'
import { type Upload, uploadsOf } from './import-uploads.ts'

const loading = z.object({ id: formId, leaveOut: ticked })

/** Everything is tried and taken back: what would be new, changed or the same, and each bad row with its reason. */
export const show = (deps: Deps) => (req: Request) => {
  const upload = readUpload(deps, req)
  if (upload.dateOrder === null) return redirect(`/import/files/${upload.id}`)
  if (upload.subject === 'past faults' && !upload.meanings)
    return redirect(`/import/files/${upload.id}/words`)
  const { ready, bad } = readied(deps, upload)
  const outcomes = deps.storage.imports.tryOut(
    loadingOf(deps, req, upload, crypto.randomUUID(), bad.length),
    ready,
  )
  return page('engineer/bring-in/import-check', { ...report(upload, outcomes, bad), values: {} })
}

/** Writes all of it in one step, or nothing. Rows that are bad keep the whole file out, unless they are left out by name. */
export const create = (deps: Deps) => (req: Request) => {
  const form = readForm(loading, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'Send the page again.')
  if (deps.storage.imports.find(form.data.id))
    return redirectAfterWrite(deps, req, form.data.id, `/import/${form.data.id}`)
  const upload = readUpload(deps, req)
  const { ready, bad } = readied(deps, upload)
  const loaded = loadingOf(deps, req, upload, form.data.id, bad.length)
  deps.storage.transaction(() => {
    const { outcomes } = deps.storage.imports.load(loaded, ready)
    const refused = bad.length > 0 || outcomes.some(one => one.state === 'bad')
    if (refused && !form.data.leaveOut)
      throw new AppError('conflict', 'Some rows are bad, so nothing was brought in. Look at the list again.')
  })
  uploadsOf(deps).forget(upload.id)
  return redirectAfterWrite(deps, req, form.data.id, `/import/${form.data.id}`)
}

function readied(deps: Deps, upload: Upload): { ready: ReadyRows; bad: BadRow[] } {
  const { columns, dateOrder, decimalMark, subject, table } = upload
  const how = {
    columns,
    decimalMark,
    dateOrder: dateOrder ?? ('day first' as const),
    toUtc: deps.times.fromLocal,
    now: deps.clock(),
    facts: factsInUse(deps),
  }
  const { good, bad } = parseRows(table.rows, fieldsFor(deps, subject), how)
  const meanings = upload.meanings ?? {
    symptoms: new Map<string, string>(),
    causes: new Map<string, string>(),
  }
  const { knowledge } = deps.library.current()
  const { ready, bad: more } = readyRows(subject, good, knowledge, meanings, deps.clock().toISOString())
  return { ready, bad: [...bad, ...more] }
}

function loadingOf(deps: Deps, req: Request, upload: Upload, id: string, leftOut: number): Loading {
  const { fileName, sha256, columns, table, dateOrder, decimalMark } = upload
  const named = Object.fromEntries(
    Object.entries(columns).map(([field, at]) => [field, table.header[at] ?? '']),
  )
  const how = {
    encoding: table.encoding,
    delimiter: table.delimiter,
    sheet: table.sheet,
    dateOrder,
    decimalMark,
  }
  const editionId = deps.library.current().id
  return { id, by: person(req).id, editionId, fileName, sha256, columns: { columns: named, ...how }, leftOut }
}

function report(upload: Upload, outcomes: RowOutcome[], unreadable: BadRow[]) {
  const bad = [
    ...unreadable,
    ...outcomes.flatMap(({ line, state, words }) => (state === 'bad' ? [{ line, reason: words }] : [])),
  ].sort((a, b) => a.line - b.line)
  const of = (state: RowOutcome['state']) => outcomes.filter(one => one.state === state)
  const changed = of('changed')
  return {
    title: `Try-out of ${upload.fileName}`,
    desk: true,
    upload,
    counts: { added: of('new').length, changed: changed.length, same: of('same').length, bad: bad.length },
    bad: badRowsTable(bad),
    badBecause: bad.length > 0 ? 'each is named below' : null,
    changed: changesTable(changed),
    stepBack: `/import/files/${upload.id}${upload.subject === 'past faults' ? '/words' : ''}`,
    rows: outcomes.length + unreadable.length,
  }
}

const mostShown = 200

/** Each bad row of a file and why; the first of them when there are many. */
function badRowsTable(bad: BadRow[]): Table {
  return {
    caption:
      bad.length > mostShown ? `The first ${mostShown} of ${bad.length} bad rows` : 'Each bad row and why',
    columns: columns(numbers('Line'), 'Why'),
    rows: bad.slice(0, mostShown).map(({ line, reason }) => row(line, reason)),
  }
}

/** What would change on record; the first of the changes when there are many. */
function changesTable(changed: RowOutcome[]): Table {
  return {
    caption:
      changed.length > mostShown
        ? `The first ${mostShown} of ${changed.length} changes`
        : 'What would change',
    columns: columns(numbers('Line'), 'What'),
    rows: changed.slice(0, mostShown).map(({ line, words }) => row(line, words)),
  }
}
