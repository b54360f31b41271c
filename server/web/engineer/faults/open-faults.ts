import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import type { FaultSummary } from '../../../storage/storage.ts'
import { walk } from '../../../walk/place.ts'
import { held } from '../../../walk/stage.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, ticked, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { actionsOf } from '../../technician/actions/actions.ts'
import { missingSteps } from '../first-steps/steps.ts'

const note = z.object({ id: formId, words: words('Write what you decided.', 2000), settled: ticked })
const release = z.object({ id: formId, reason: words('Say why the evidence may now be disturbed.', 1000) })

/** What waits for the engineer: open faults, those that cleared themselves, and evidence held. */
export const index = (deps: Deps) => (req: Request) => {
  const open = deps.storage.faults.listOpen()
  return page('engineer/faults/open', {
    title: 'What waits',
    desk: true,
    open,
    actions: actionsOf(deps, person(req).id),
    heldIds: heldFaults(deps, open),
    unsettled: deps.storage.faults.listUnsettled(),
    repeatDays: deps.config.repeatWindowDays,
    toDo: missingSteps(deps, req.origin).length,
  })
}

/** A word of the engineer on a fault; `settled` takes a fault that cleared itself off the list. */
export const addNote = (deps: Deps) => (req: Request) => {
  const record = deps.storage.faults.get(String(req.params.fault))
  const form = readForm(note, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'Write what you decided.')
  deps.storage.engineerNotes.add({ ...form.data, faultId: record.fault.id, by: person(req).id })
  return redirectAfterWrite(deps, req, form.data.id, `/faults/${record.fault.id}`)
}

export const showRelease = (deps: Deps) => (req: Request) => {
  return page('engineer/faults/release', releaseLocals(deps, req))
}

/** Lets the walk of a fault under evidence hold go on; the reason stands in the record. */
export const createRelease = (deps: Deps) => (req: Request) => {
  const locals = releaseLocals(deps, req)
  const form = readForm(release, req)
  if (!form.ok) return formAgain('engineer/faults/release', { ...locals, ...form })
  deps.storage.holdReleases.add({ ...form.data, faultId: locals.fault.fault.id, by: person(req).id })
  return redirectAfterWrite(deps, req, form.data.id, `/faults/${locals.fault.fault.id}`)
}

function releaseLocals(deps: Deps, req: Request) {
  const fault = deps.storage.faults.get(String(req.params.fault))
  return {
    title: 'Release the evidence hold',
    fault,
    summary: deps.storage.faults.summary(fault.fault.id),
    values: {},
  }
}

/** Few faults are open at a time, and only those where protection was lost or is not known are looked at. */
function heldFaults(deps: Deps, open: FaultSummary[]): string[] {
  return open.flatMap(({ id, protection }) => {
    if (protection === 'kept') return []
    const record = deps.storage.faults.get(id)
    const knowledge = deps.library.edition(record.fault.editionId)?.knowledge
    if (!knowledge) return []
    return held(walk(knowledge, record.fault.tree, record.findings), record) ? [id] : []
  })
}
