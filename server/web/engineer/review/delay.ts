// The delay a fault caused, as told later.

import { z } from 'zod'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'

const missing = 'Give whole minutes; 0 when there was none.'
const delay = z.object({
  id: formId,
  minutes: z
    .string({ error: missing })
    .trim()
    .regex(/^\d{1,6}$/, missing)
    .transform(Number),
})

export const show = (deps: Deps) => (req: Request) => {
  return page('engineer/review/delay', delayLocals(deps, req))
}

export const create = (deps: Deps) => (req: Request) => {
  const locals = delayLocals(deps, req)
  const form = readForm(delay, req)
  if (!form.ok) return formAgain('engineer/review/delay', { ...locals, ...form })
  const { fault } = locals
  deps.storage.delays.add({ ...form.data, faultId: fault.id, by: person(req).id })
  return redirectAfterWrite(deps, req, form.data.id, `/review/positions/${fault.positionId}`)
}

function delayLocals(deps: Deps, req: Request) {
  const { fault } = deps.storage.faults.get(String(req.params.fault))
  const minutes = deps.storage.delays.find(fault.id)
  return {
    title: 'Delay caused by a fault',
    fault,
    values: { minutes: minutes === null ? '' : String(minutes) },
  }
}
