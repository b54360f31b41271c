import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { findCauseByKey } from '../../../knowledge/graph.ts'
import { fittingVariants } from '../../../walk/fit.ts'
import { placeKey } from '../../../walk/place.ts'
import type { RepairAction } from '../../../walk/record.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { type FormErrors, formId, oneOf, readForm, words } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import { personStill } from '../../host/sessions.ts'
import type { Choice } from '../../partials.ts'
import { entryOf, type FaultInHand, readOwnFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { fuseFields, fuseKinds, ratingOnRecord, readFuse } from './repairs-fuse.ts'
import { type Asked, fittedRows, readSwap, settingNames, variantChoices } from './unit-change.ts'

const repairActions = [
  'unit replaced',
  'connection remade',
  'contact cleaned',
  'fuse replaced',
  'cable repaired',
  'adjusted',
  'reset',
  'nothing changed',
  'other',
] as const satisfies RepairAction[]

const repair = z.object({
  id: formId,
  action: oneOf(repairActions, 'Choose what was done.'),
  words: words('Say what was done, so that the next person understands it.'),
})
const blown = z.object(fuseFields)

type Owned = ReturnType<typeof readOwnFault>

export const add = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  return page('technician/repair/repair', locals(fault, { action: req.query.action, kind: req.query.kind }))
}

export const create = (deps: Deps) => async (req: Request) => {
  const fault = readOwnFault(deps, req)
  const back = `/faults/${fault.record.fault.id}/next`
  if (fault.record.repairs.some(one => one.id === req.body?.id))
    return redirectAfterWrite(deps, req, String(req.body.id), back)
  const cause = causeToRepair(fault)
  const again = (errors: FormErrors, asked: Asked[] = []) =>
    formAgain('technician/repair/repair', { ...locals(fault, req.body), asked, errors, values: req.body })
  const form = readForm(repair, req)
  if (!form.ok) return again(form.errors)
  const swapped = form.data.action === 'unit replaced' ? await readSwap(deps, fault, req) : null
  if (swapped && 'errors' in swapped) return again(swapped.errors, swapped.asked)
  // The engineer's PIN may have been waited for.
  personStill(deps, req, 'attend faults')
  if (causeToRepair(readOwnFault(deps, req)) !== cause) throw movedOn()
  const fuse = form.data.action === 'fuse replaced' ? sentFuse(fault, req) : null
  if (fuse && 'errors' in fuse) return again(fuse.errors)
  deps.storage.repairs.add({
    ...form.data,
    ...entryOf(fault, req),
    cause,
    swap: swapped?.swap ?? null,
    fuse: fuse?.fuse ?? null,
  })
  return redirectAfterWrite(deps, req, form.data.id, back)
}

/** The cause the walk stands at. Throws 'conflict' when it stands at none, or nothing may be changed. */
function causeToRepair({ walk: { place }, stage }: Owned): string {
  if (place.kind !== 'cause') throw movedOn()
  if (stage.kind === 'held')
    throw new AppError('conflict', 'This fault is under evidence hold: nothing may be changed.')
  return placeKey(place)
}

const movedOn = () => new AppError('conflict', 'The walk has moved on and stands at no cause now.')

function sentFuse(fault: Owned, req: Request) {
  const form = readForm(blown, req)
  return form.ok ? readFuse(form.data, ratingOnRecord(fault)) : { errors: form.errors }
}

function locals(fault: FaultInHand, values: Record<string, unknown>) {
  const { place } = fault.walk
  const cause = place.kind === 'cause' ? place.cause : null
  const kind =
    typeof values.kind === 'string' && values.kind
      ? values.kind
      : (cause?.replace ?? fault.equipment.units[0]?.kind ?? '')
  const fitting = fittingVariants(fault.equipment, fault.position.facts, kind)
  return {
    title: 'What was done',
    fault,
    place: placeInWalk(fault),
    cause: cause ?? findCauseByKey(fault.knowledge, ''),
    actions: actionChoices(repairActions),
    swapping: values.action === 'unit replaced' || (!values.action && cause?.replace !== null),
    kinds: [...new Set(fault.equipment.units.map(unit => unit.kind))],
    kind,
    fittedRows: fittedRows(
      kind,
      fault.position.fitted.find(unit => unit.kind === kind),
      fitting,
    ),
    variants: variantChoices(fitting),
    settings: settingNames(fault.equipment, kind),
    asked: [],
    fuseKinds,
    fuseRating: ratingOnRecord(fault),
    values,
  }
}

const hints: Record<string, string> = {
  reset: 'Not accepted as a cause.',
  'nothing changed': 'The cause is then not proved.',
}

/** What may have been done; a unit replaced has a form of its own. */
function actionChoices(actions: readonly string[]): Choice[] {
  return actions
    .filter(action => action !== 'unit replaced')
    .map(action => ({ value: action, label: capitalize(action), hint: hints[action] ?? null }))
}
