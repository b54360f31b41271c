import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { fieldsOf } from '../../../exchange/subjects.ts'
import { textOf } from '../../../exchange/table.ts'
import type { RowOutcome } from '../../../storage/storage.ts'
import { countWords } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, ticked } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { findRun, startRun } from './import-runs.ts'
import type { TryOut, Upload } from './import-uploads.ts'
import { beginBringing, lookThrough, mostShown, notLookedAt } from './look-through.ts'
import { readUpload } from './read-upload.ts'
import { refusedTable } from './refused-rows.ts'

const loading = z.object({ id: formId, leaveOut: ticked })

/** What would be new, changed or the same, and each bad row with its reason; nothing is written. Until then how far it is. */
export const show = (deps: Deps) => async (req: Request) => {
  const upload = readUpload(deps, req)
  if (upload.dateOrder === null) return redirect(`/import/files/${upload.id}`)
  if (upload.subject === 'past faults' && !upload.meanings)
    return redirect(`/import/files/${upload.id}/words`)
  upload.tryOut ??= startTryOut(deps, upload, person(req).id)
  const { tryOut } = upload
  await soonDone(tryOut.ended)
  if (tryOut.failed) {
    upload.tryOut = null
    throw tryOut.failed.error
  }
  const { seen } = tryOut
  if (seen.done < seen.of) return page('engineer/bring-in/import-trying', tryingLocals(upload, tryOut), again)
  // Looked at anew when it is asked for again: by then other rows may be on record.
  upload.tryOut = null
  return page('engineer/bring-in/import-check', {
    ...report(upload, tryOut),
    values: {},
  })
}

/** The page comes again by itself. */
export const again = { headers: { Refresh: '1' } }

/** A small file is done before its page is shown. */
export async function soonDone(ended: Promise<void>): Promise<void> {
  await Promise.race([ended, new Promise(resolve => setTimeout(resolve, 300))])
}

function startTryOut(deps: Deps, upload: Upload, by: string): TryOut {
  const bringing = beginBringing(deps, upload, { id: crypto.randomUUID(), by })
  const seen = notLookedAt(upload)
  const tryOut: TryOut = { bringing, seen, failed: null, ended: Promise.resolve() }
  const isGivenUp = () => upload.tryOut !== tryOut
  tryOut.ended = lookThrough(deps, upload, { bringing, seen, isGivenUp }).catch(error => {
    tryOut.failed = { error }
  })
  return tryOut
}

/**
 * Brings all of it in, or nothing. Rows that are bad keep the whole file out, unless they are left out by name. A large
 * file goes on by itself after the answer.
 */
export const create = (deps: Deps) => async (req: Request) => {
  const form = readForm(loading, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'Send the page again.')
  const { id, leaveOut } = form.data
  const known = findRun(deps, id)
  if (!known && deps.storage.imports.find(id)) return redirectAfterWrite(deps, req, id, `/import/${id}`)
  const by = person(req)
  const actor = { personId: by.id, tabletId: req.visitor.tablet?.id ?? null }
  const run = known ?? startRun(deps, readUpload(deps, req), { id, leaveOut, by, actor })
  await soonDone(run.ended)
  if (run.state === 'refused')
    throw new AppError('conflict', 'Some rows are bad, so nothing was brought in. Look at the list again.')
  return redirectAfterWrite(deps, req, id, `/import/${id}`)
}

function tryingLocals(upload: Upload, { seen }: TryOut) {
  return { title: `Try-out of ${upload.fileName}`, desk: true, upload, seen }
}

function report(upload: Upload, { bringing, seen }: TryOut) {
  const of = (state: RowOutcome['state']) => seen.named.filter(one => one.state === state)
  const changed = of('changed')
  const bad = [...seen.unreadable, ...of('bad').map(({ line, words }) => ({ line, reason: words }))].sort(
    (a, b) => a.line - b.line,
  )
  const { added, same } = bringing.counts()
  upload.refused = bad
  return {
    title: `Try-out of ${upload.fileName}`,
    desk: true,
    upload,
    counts: { added, changed: changed.length, same, bad: bad.length },
    bad: refusedTable(bad),
    badBecause: bad.length > 0 ? 'named below by why' : null,
    added: rowsTable(upload, seen.added, { count: added, one: 'new' }),
    changed: rowsTable(upload, changed, { count: changed.length, one: 'changed' }),
    same: rowsTable(upload, seen.same, { count: same, one: 'the same' }),
    stepBack: `/import/files/${upload.id}${upload.subject === 'past faults' ? '/words' : ''}`,
    rows: seen.of,
  }
}

/** Rows with their line, what they speak of and what becomes of them; the first when there are many. */
function rowsTable(
  upload: Upload,
  outcomes: RowOutcome[],
  { count, one }: { count: number; one: string },
): Table {
  const shown = outcomes.slice(0, mostShown)
  const words = shown.some(outcome => outcome.words !== '')
  return {
    caption:
      count > shown.length
        ? `The first ${shown.length} of ${count} rows: ${one}`
        : `${countWords(count, 'row')}: ${one}`,
    captionHidden: count === shown.length,
    columns: columns(numbers('Line'), 'Row', ...(words ? ['What'] : [])),
    rows: shown.map(outcome =>
      row(outcome.line, spokenOf(upload, outcome.line), ...(words ? [outcome.words] : [])),
    ),
  }
}

/** The first cells of a row that were taken for something. */
function spokenOf({ table, columns: chosen, subject }: Upload, line: number): string {
  const cells = table.rows.find(one => one.line === line)?.cells ?? []
  const order = fieldsOf(subject).flatMap(({ name }) => chosen[name] ?? [])
  const texts = order.map(at => textOf(cells[at]).trim()).filter(text => text !== '')
  return texts.slice(0, 4).join(' · ').slice(0, 160)
}
