import { z } from 'zod'
import { may } from '../../../auth/roles.ts'
import { AppError } from '../../../errors.ts'
import { findCauseByKey } from '../../../knowledge/graph.ts'
import type { UnitVariant } from '../../../knowledge/types.ts'
import type { FittedUnit } from '../../../storage/storage.ts'
import { type Fit, fittingVariants, mayBeFitted } from '../../../walk/fit.ts'
import { placeKey } from '../../../walk/place.ts'
import type { RepairAction } from '../../../walk/record.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { type FormErrors, formId, name, oneOf, optionalWords, readForm, words } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import { personStill } from '../../host/sessions.ts'
import type { Choice, SummaryRow } from '../../partials.ts'
import { checkSecret } from '../../people/check-secret.ts'
import { entryOf, type FaultInHand, readOwnFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { fuseFields, fuseKinds, ratingOnRecord, readFuse } from './repairs-fuse.ts'

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

const swap = z.object({
  kind: words('Choose the kind of unit.', 100),
  serialOut: name('Read the serial number off the unit taken out.', 60),
  serialIn: name('Read the serial number off the label of the unit to go in.', 60),
  variantIn: words('Read the variant off the label of the unit to go in.', 60),
  overrideName: optionalWords(80),
  overridePin: z.string().max(128).optional().default(''),
  overrideReason: optionalWords(500),
})

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
  const again = (errors: FormErrors) =>
    formAgain('technician/repair/repair', { ...locals(fault, req.body), errors, values: req.body })
  const form = readForm(repair, req)
  if (!form.ok) return again(form.errors)
  const swapped = form.data.action === 'unit replaced' ? await readSwap(deps, fault, req) : null
  if (swapped?.errors) return again(swapped.errors)
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

/** Reads a unit change; a unit that may not be fitted here needs an engineer's name, PIN and reason. */
async function readSwap(deps: Deps, fault: Owned, req: Request) {
  const form = readForm(swap, req)
  if (!form.ok) return { errors: form.errors, swap: null }
  const { data } = form
  const settings = settingsOf(fault, req, data)
  const unread = settings.findIndex(setting => !setting.asFound || !setting.asLeft)
  if (unread >= 0)
    return { errors: { [`asFound${unread}`]: 'Read this setting off both units before power goes on.' } }
  const fits = mayBeFitted(fault.equipment, fault.position.facts, data.kind, data.variantIn)
  const override = fits.ok ? null : await readOverride(deps, req, data)
  if (!fits.ok && !override)
    return { errors: { variantIn: `${fits.reason} Only an engineer can override this.` } }
  const fitted = fault.position.fitted.find(unit => unit.kind === data.kind)
  const { kind, serialOut, serialIn, variantIn } = data
  return {
    swap: { kind, serialOut, variantOut: fitted?.variant ?? '', serialIn, variantIn, settings, override },
  }
}

/** The engineer signs in on top of the technician's page, with wrong guesses slowed down; both names stand in the record. */
async function readOverride(deps: Deps, req: Request, data: z.output<typeof swap>) {
  if (!data.overrideName || !data.overrideReason) return null
  const checked = await checkSecret(deps, req, data.overrideName, data.overridePin)
  if ('wrong' in checked || !may(checked.person.role, 'override a fit')) return null
  // An unchanged initial PIN can't authorise: the person who gave it knows it too.
  if (checked.person.given) return null
  return { by: checked.person.id, reason: data.overrideReason }
}

function settingsOf(fault: FaultInHand, req: Request, data: z.output<typeof swap>) {
  const names = settingNames(fault, data.kind)
  const field = (name: string) =>
    String(req.body?.[name] ?? '')
      .trim()
      .slice(0, 100)
  return names.map((name, n) => ({ name, asFound: field(`asFound${n}`), asLeft: field(`asLeft${n}`) }))
}

/** Settings that any variant of this kind has, each once. */
function settingNames(fault: FaultInHand, kind: string): string[] {
  const variants = fault.equipment.units.filter(unit => unit.kind === kind)
  return [...new Set(variants.flatMap(unit => unit.settings))]
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
    settings: settingNames(fault, kind),
    fuseKinds,
    fuseRating: ratingOnRecord(fault),
    values,
  }
}

type Fitting = { unit: UnitVariant; fit: Fit }[]

/** The unit of a kind that is fitted now, and the variants that may take its place. */
function fittedRows(kind: string, fitted: FittedUnit | undefined, fitting: Fitting): SummaryRow[] {
  const old = fitting.some(({ unit }) => unit.superseded && unit.variant === fitted?.variant)
  const now =
    fitted && `${fitted.kind} ${fitted.variant}, serial ${fitted.serial}${old ? ' (superseded variant)' : ''}`
  const may = fitting.flatMap(({ unit, fit }) =>
    fit.ok ? [unit.superseded ? `${unit.variant} (superseded)` : unit.variant] : [],
  )
  return [
    { key: 'Fitted now', value: now ?? `no ${kind} is on record here` },
    { key: 'May be fitted here', value: may.join(', ') || 'none on record' },
  ]
}

/** Every variant of a kind, whether or not it may be fitted here: what the label says must be said. */
function variantChoices(fitting: Fitting): Choice[] {
  return fitting.map(({ unit }) => ({ value: unit.variant, label: unit.variant }))
}

const hints: Record<string, string> = {
  reset: 'An action, never a cause.',
  'nothing changed': 'The cause is then not proved.',
}

/** What may have been done; a unit replaced has a form of its own. */
function actionChoices(actions: readonly string[]): Choice[] {
  return actions
    .filter(action => action !== 'unit replaced')
    .map(action => ({ value: action, label: capitalize(action), hint: hints[action] ?? null }))
}
