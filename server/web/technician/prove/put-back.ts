import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, optionalWords, readForm, words } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import { entryOf, type FaultInHand, nextAddress, readFault, readOwnFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'

const restoring = z.object({
  id: formId,
  itemKey: words('The item is missing.', 200),
  how: oneOf(['restored', 'never disturbed'], 'Say whether it was put back or never taken apart.'),
  note: optionalWords(500),
})

const disturbing = z.object({
  id: formId,
  item: words('Say what was taken off, out or put across, and where.', 500),
})

/** Everything disturbed, one by one; open to read for everyone. */
export const show = (deps: Deps) => (req: Request) => {
  return page('technician/prove/put-back', locals(readFault(deps, req)))
}

export const restore = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const form = readForm(restoring, req)
  if (!form.ok) return formAgain('technician/prove/put-back', { ...locals(fault), ...form })
  if (!fault.disturbed.some(item => item.key === form.data.itemKey)) {
    throw new AppError('invalid', 'Nothing by that name is disturbed. Go back to the list.')
  }
  deps.storage.restorations.add({ ...form.data, ...entryOf(fault, req) })
  return redirectAfterWrite(deps, req, form.data.id, afterPutBack(readFault(deps, req)))
}

/** With the last thing back there is nothing to stop at: on to the proof, or to closing. */
function afterPutBack(fault: FaultInHand): string {
  const goesOn = fault.stage.kind === 'prove' || fault.stage.kind === 'close'
  return goesOn ? nextAddress(fault) : `/faults/${fault.record.fault.id}/put-back`
}

/** A strap, a link, a fuse out, a test lead: anything temporary that the checks do not know of. */
export const addItem = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const form = readForm(disturbing, req)
  if (!form.ok) return formAgain('technician/prove/put-back', { ...locals(fault), ...form })
  deps.storage.disturbances.add({ ...form.data, ...entryOf(fault, req) })
  return redirectAfterWrite(deps, req, form.data.id, `/faults/${fault.record.fault.id}/put-back`)
}

function locals(fault: FaultInHand) {
  const done = fault.disturbed.filter(
    item => item.state === 'restored' || item.state === 'never disturbed',
  ).length
  return {
    title: 'Put back',
    fault,
    place: placeInWalk(fault),
    items: fault.disturbed,
    done,
    all: fault.disturbed.length,
    next: fault.mine ? nextAddress(fault) : null,
    values: {},
  }
}
