import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { reportKinds } from '../../../storage/knowledge/reports.ts'
import type { Deps } from '../../deps.ts'
import { redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, optionalWords, readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { checkOf, readFault } from '../in-hand/fault-in-hand.ts'

const reported = z.object({
  id: formId,
  tree: z.string().max(200),
  check: z.string().max(200),
  kind: oneOf(reportKinds, 'Say what is wrong with it.'),
  words: optionalWords(),
})

/** What a technician says of a check; the walk goes on as if nothing was said. */
export const create = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  const form = readForm(reported, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'That could not be read.')
  const { id, tree, check, kind, words } = form.data
  checkOf(fault, { tree, check })
  const { id: faultId, editionId } = fault.record.fault
  const by = person(req).id
  deps.storage.reports.add({ id, faultId, tree, check, editionId, by, kind, words: words ?? '' })
  return redirectAfterWrite(deps, req, id, `/faults/${faultId}/checks/${tree}/${check}?reported=${id}`)
}

const read = z.object({ id: formId })

/** The reporter has read an answer: it leaves their page of faults. */
export const readAnswer = (deps: Deps) => (req: Request) => {
  const form = readForm(read, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'That could not be read.')
  deps.storage.reports.read(String(req.params.answer), person(req).id)
  return redirectAfterWrite(deps, req, form.data.id, '/faults')
}
