// A unit change as it is typed: read, held against the record, and refused where the unit may not be fitted.

import { z } from 'zod'
import { may } from '../../../auth/roles.ts'
import type { Equipment, UnitVariant } from '../../../knowledge/types.ts'
import type { FittedUnit, NewSwap } from '../../../storage/storage.ts'
import { type Fit, mayBeFitted } from '../../../walk/fit.ts'
import {
  type Difference,
  differences,
  sameSerial,
  type UnitChange,
  type UnitOnRecord,
} from '../../../walk/unit-change.ts'
import type { Deps } from '../../deps.ts'
import { type FormErrors, name, optionalWords, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import type { Choice, SummaryRow } from '../../partials.ts'
import { checkSecret } from '../../people/check-secret.ts'
import type { OwnFault } from '../in-hand/fault-in-hand.ts'

const swap = z.object({
  kind: words('Choose the kind of unit.', 100),
  serialOut: name('Read the serial number off the unit taken out.', 60),
  serialIn: name('Read the serial number off the label of the unit to go in.', 60),
  variantIn: words('Read the variant off the label of the unit to go in.', 60),
  overrideName: optionalWords(80),
  overridePin: z.string().max(128).optional().default(''),
  overrideReason: optionalWords(500),
})

/** A difference from the record as the page asks about it: a box to tick. */
export interface Asked {
  name: string
  label: string
  hint: string
  ticked: boolean
}

type ReadSwap = { swap: NewSwap } | { errors: FormErrors; asked: Asked[] }

/**
 * Reads a unit change. What differs from the record is asked about; a unit that may not be fitted here needs an
 * engineer's name, PIN and reason.
 */
export async function readSwap(deps: Deps, fault: OwnFault, req: Request): Promise<ReadSwap> {
  const form = readForm(swap, req)
  if (!form.ok) return { errors: form.errors, asked: [] }
  const { data } = form
  const { kind, serialOut, serialIn, variantIn } = data
  const change = { kind, serialOut, serialIn, variantIn, settings: settingsOf(fault.equipment, req, data) }
  const fits = mayBeFitted(fault.equipment, fault.position.facts, kind, variantIn)
  const found = foundDifferences(deps, fault, change, fits)
  const asked = found.map(({ key, says, yes }) => askedAs(req, key, says, yes))
  const errors = unread(change) ?? keptApart(deps, change) ?? unanswered(asked)
  if (errors) return { errors, asked }
  const authorised = fits.ok ? null : await readOverride(deps, req, data)
  const override = authorised && 'by' in authorised ? authorised : null
  if (!fits.ok && !override) {
    const why = authorised && 'wrong' in authorised ? authorised.wrong : 'Only an engineer can override this.'
    return { errors: { variantIn: `${fits.reason} ${why}` }, asked }
  }
  const variantOut = fittedHere(fault, change)?.variant ?? ''
  return { swap: { ...change, variantOut, override, differences: found.map(one => one.says) } }
}

function unread({ serialOut, serialIn, settings }: UnitChange): FormErrors | null {
  if (sameSerial(serialOut, serialIn))
    return { serialIn: 'This is the number of the unit taken out. Read it off the label of the new unit.' }
  const missing = settings.findIndex(setting => !setting.asFound || !setting.asLeft)
  return missing < 0
    ? null
    : { [`asFound${missing}`]: 'Read this setting off both units before power goes on.' }
}

/** A unit that is kept apart or scrapped is refused with its reason, whoever asks. */
function keptApart({ storage, times }: Deps, { kind, serialIn }: UnitChange): FormErrors | null {
  const unit = storage.units.findBySerial(kind, serialIn)
  const apart = unit === null ? null : storage.unitLife.findApart(unit.id)
  if (apart === null) return null
  const said = apart.reason === '' ? '' : `: ${apart.reason}`
  const who = `${apart.byName}, ${times.day(apart.at)}`
  return { serialIn: `${serialIn} is ${apart.state}${said} (${who}). Fit another unit.` }
}

const soonDays = 90
const fewestSoon = 2

/** A unit that came back soon after fitting, more than once, is asked about before it goes in again. */
function comesBack({ storage }: Deps, { kind, serialIn }: UnitChange): Difference[] {
  const unit = storage.units.findBySerial(kind, serialIn)
  const { times, soon } = unit === null ? { times: 0, soon: 0 } : storage.unitLife.removals(unit.id, soonDays)
  if (soon < fewestSoon) return []
  const says =
    `${serialIn} was taken out for a fault ${times} times, ${soon} of them within ${soonDays} days of fitting. ` +
    'It may carry the fault with it. Take another if you have one.'
  return [{ key: `comes back ${serialIn}`, says, yes: `Yes, fit ${serialIn} all the same` }]
}

function unanswered(asked: Asked[]): FormErrors | null {
  if (asked.every(one => one.ticked)) return null
  return { differs: 'Not as on record. Look again: change it above, or tick what is right.' }
}

/** Another variant than was fitted is for the engineer where it does not fit, and is not asked about then. */
function foundDifferences(deps: Deps, fault: OwnFault, change: UnitChange, fits: Fit) {
  const records = {
    here: unitOnRecord(deps, fittedHere(fault, change)),
    out: unitOnRecord(deps, deps.storage.units.findBySerial(change.kind, change.serialOut)),
    into: unitOnRecord(deps, deps.storage.units.findBySerial(change.kind, change.serialIn)),
  }
  const all = [...differences(change, records), ...comesBack(deps, change)]
  return fits.ok ? all : all.filter(one => !one.key.startsWith('variant '))
}

function fittedHere({ position }: OwnFault, { kind, serialOut }: UnitChange): FittedUnit | undefined {
  const ofKind = position.fitted.filter(unit => unit.kind === kind)
  return ofKind.find(unit => sameSerial(unit.serial, serialOut)) ?? ofKind[0]
}

type Known = { serial: string; variant: string } & ({ id: string } | { unitId: string })

function unitOnRecord({ storage }: Deps, unit: Known | null | undefined): UnitOnRecord | null {
  if (!unit) return null
  const { serial, variant } = unit
  const fittings = storage.units.historyOfUnit('id' in unit ? unit.id : unit.unitId)
  const now = fittings.find(fitting => fitting.removedAt === null)
  return { serial, variant, place: now ? `${now.positionName}, ${now.siteName}` : null }
}

function askedAs(req: Request, key: string, says: string, yes: string): Asked {
  const name = `sure ${key}`
  return { name, label: yes, hint: says, ticked: req.body[name] === 'yes' }
}

type Override = { by: string; reason: string } | { wrong: string } | null

/** The engineer signs in on top of the technician's page, with wrong guesses slowed down; both names stand in the record. */
async function readOverride(deps: Deps, req: Request, data: z.output<typeof swap>): Promise<Override> {
  if (!data.overrideName || !data.overrideReason) return null
  const checked = await checkSecret(deps, req, data.overrideName, data.overridePin)
  if ('wrong' in checked || !may(checked.person.role, 'override a fit')) return null
  // An unchanged initial PIN can't authorise: the person who gave it knows it too.
  if (checked.person.given) return null
  if (deps.storage.people.letInBy(checked.person.id, [person(req)]).length > 0)
    return { wrong: 'An engineer whom you let in yourself can’t override it for you: ask another.' }
  return { by: checked.person.id, reason: data.overrideReason }
}

function settingsOf(equipment: Equipment, req: Request, data: z.output<typeof swap>) {
  const names = settingNames(equipment, data.kind)
  const field = (name: string) =>
    String(req.body?.[name] ?? '')
      .trim()
      .slice(0, 100)
  return names.map((name, n) => ({ name, asFound: field(`asFound${n}`), asLeft: field(`asLeft${n}`) }))
}

/** Settings that any variant of this kind has, each once. */
export function settingNames({ units }: Equipment, kind: string): string[] {
  const variants = units.filter(unit => unit.kind === kind)
  return [...new Set(variants.flatMap(unit => unit.settings))]
}

type Fitting = { unit: UnitVariant; fit: Fit }[]

/** The unit of a kind that is fitted now, and the variants that may take its place. */
export function fittedRows(kind: string, fitted: FittedUnit | undefined, fitting: Fitting): SummaryRow[] {
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
export function variantChoices(fitting: Fitting): Choice[] {
  return fitting.map(({ unit }) => ({ value: unit.variant, label: unit.variant }))
}
