import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import type { ImportRow } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { again, soonDone } from './import-check.ts'
import { cancelRun, findRun, isUnderWay, type Run, runProgress, sweepLeftOver } from './import-runs.ts'
import { uploadsOf } from './import-uploads.ts'

/** How far an import is, for any engineer; then what was brought in, or why it came to nothing. */
export const show = (deps: Deps) => async (req: Request) => {
  const id = String(req.params.import)
  const run = findRun(deps, id)
  if (run) await soonDone(run.ended)
  if (run && isUnderWay(run)) return page('engineer/bring-in/import-under-way', underWayLocals(run), again)
  if (run?.state === 'refused' || (run?.state === 'given up' && !deps.storage.imports.find(id)))
    return page('engineer/bring-in/import-given-up', notBegunLocals(run, fileOf(deps, run, req)))
  const imported = deps.storage.imports.find(id)
  if (!imported) throw new AppError('not found', 'There is no such import.')
  if (imported.underWay) return page('engineer/bring-in/import-under-way', leftOverLocals(imported), again)
  if (imported.givenUp !== null)
    return page('engineer/bring-in/import-given-up', givenUpLocals(imported, fileOf(deps, run, req)))
  return page('engineer/bring-in/import-done', doneLocals(imported))
}

const undoing = z.object({ id: formId, why: words('Say why it is undone.', 400) })

/** Takes an import that was wrong back whole, as long as nothing stands on it. */
export const undo = (deps: Deps) => async (req: Request) => {
  const imported = deps.storage.imports.find(String(req.params.import))
  if (!imported || imported.underWay || imported.givenUp !== null)
    throw new AppError('not found', 'There is no such import.')
  const form = readForm(undoing, req)
  if (!form.ok) return formAgain('engineer/bring-in/import-done', { ...doneLocals(imported), ...form })
  const { id: importId, subject } = imported
  if (imported.undoneAt === null)
    deps.storage.imports.undo({ importId, subject, by: person(req).id, why: form.data.why })
  await soonDone(sweepLeftOver(deps))
  return redirectAfterWrite(deps, req, form.data.id, `/import/${importId}`)
}

function doneLocals(imported: ImportRow) {
  const back = { href: '/import', text: 'Bring in' }
  return { title: `Import of ${imported.subject}`, desk: true, back, imported, values: {} }
}

/** Gives up an import that is not in force yet. What it has written is taken away. */
export const cancel = (deps: Deps) => (req: Request) => {
  const id = String(req.params.import)
  const run = findRun(deps, id)
  if (!run && !deps.storage.imports.find(id)) throw new AppError('not found', 'There is no such import.')
  if (!run || !cancelRun(run))
    throw new AppError('conflict', 'This import is no longer under way: it is in force, or was given up.')
  return redirectAfterWrite(deps, req, String(req.body.id ?? ''), `/import/${id}`)
}

function underWayLocals(run: Run) {
  const { id, fileName, subject, byName } = run
  return {
    ...head(fileName, subject),
    ...{ id, fileName, subject, byName },
    progress: runProgress(run),
    mayCancel: run.state !== 'taking away',
  }
}

/** The program ended while it came in; what it had written is being taken away. */
function leftOverLocals({ id, fileName, subject, byName }: ImportRow) {
  const progress = {
    words: 'The program was stopped before this was in force. It is being taken away.',
    done: 0,
    of: 0,
  }
  return { ...head(fileName, subject), id, fileName, subject, byName, progress, mayCancel: false }
}

const whys = {
  cancelled: 'It was given up by an engineer.',
  stopped: 'The program was stopped before all of it was written.',
  failed: 'Something went wrong on our side, which is in the log.',
}

function givenUpLocals({ fileName, subject, byName, givenUp }: ImportRow, fileAddress: string | null) {
  const why = givenUp === null ? '' : whys[givenUp]
  return { ...head(fileName, subject), fileName, subject, byName, why, fileAddress }
}

/** It was refused, or given up before anything of it was written. */
function notBegunLocals({ givenUp, fileName, subject, byName }: Run, fileAddress: string | null) {
  const why = givenUp === null ? 'Some rows are bad, and they were not to be left out.' : whys[givenUp]
  return { ...head(fileName, subject), fileName, subject, byName, why, fileAddress }
}

/** Where the file still waits, for whoever sent it. */
function fileOf(deps: Deps, run: Run | null, req: Request): string | null {
  const file = run && uploadsOf(deps).find(run.fileId, person(req).id)
  return file ? `/import/files/${file.id}/check` : null
}

function head(fileName: string, subject: string) {
  return {
    title: `Import of ${subject}: ${fileName}`,
    desk: true,
    back: { href: '/import', text: 'Bring in' },
  }
}
