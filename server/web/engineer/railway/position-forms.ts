// Positions and their facts by hand: added at a site, put right with a reason, taken out of service.

import { z } from 'zod'
import { type HowToRead, parseRows } from '../../../exchange/parse-rows.ts'
import { type Field, fieldsOf } from '../../../exchange/subjects.ts'
import type { Equipment, Fact } from '../../../knowledge/types.ts'
import type { Position } from '../../../storage/storage.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { type FormErrors, formId, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { asFormError, changesTable } from './place-history.ts'

const view = 'engineer/railway/position-form'
const added = z.object({ id: formId })
const changed = z.object({ id: formId, why: words('Say why.', 400) })

/** The kind of equipment is chosen first: its facts are the fields. */
export const add = (deps: Deps) => (req: Request) => page(view, addLocals(deps, req))

export const create = (deps: Deps) => (req: Request) => {
  const shown = addLocals(deps, req)
  const form = readForm(added, req)
  const { to, errors } = typedPosition(deps, shown.kit, req.body)
  const again = (wrong: FormErrors) => formAgain(view, { ...shown, values: req.body, errors: wrong })
  if (!form.ok || !shown.kit || Object.keys(errors).length > 0)
    return again({ ...(form.ok ? {} : form.errors), ...errors })
  const made = { ...to, id: form.data.id, siteId: shown.site.id, equipment: shown.kit.slug }
  const error = asFormError('plate', () => deps.storage.positions.create(made))
  if (error) return again({ plate: 'Another position has this plate, or this name at the same site.' })
  return redirectAfterWrite(deps, req, form.data.id, `/positions/${form.data.id}`)
}

export const edit = (deps: Deps) => (req: Request) => {
  const position = deps.storage.positions.get(String(req.params.position))
  return page(view, { ...editLocals(deps, position), values: valuesOf(deps, position) })
}

export const update = (deps: Deps) => (req: Request) => {
  const position = deps.storage.positions.get(String(req.params.position))
  const shown = editLocals(deps, position)
  const form = readForm(changed, req)
  const { to, errors } = typedPosition(deps, shown.kit, req.body)
  const again = (wrong: FormErrors) => formAgain(view, { ...shown, values: req.body, errors: wrong })
  if (!form.ok || Object.keys(errors).length > 0) return again({ ...(form.ok ? {} : form.errors), ...errors })
  const { id, why } = form.data
  // What no edition in use describes any more stays as it is.
  const facts = { ...foreignFacts(position, shown.kit), ...to.facts }
  const error = asFormError('plate', () =>
    deps.storage.placeChanges.changePosition(
      position.id,
      { ...keptMoments(deps, position, to), facts },
      { id, by: person(req).id, why },
    ),
  )
  return error ? again(error) : redirectAfterWrite(deps, req, id, `/positions/${position.id}`)
}

function foreignFacts({ facts }: Position, kit: Equipment | null): Record<string, string> {
  const known = new Set(kit?.facts.map(({ name }) => name))
  return Object.fromEntries(Object.entries(facts).filter(([name]) => !known.has(name)))
}

/** The fields of an import, but for the site and the kind, which are settled. */
function fieldsFor(kit: Equipment | null): Field[] {
  return fieldsOf('positions', kit?.facts ?? []).filter(({ name }) => name !== 'site' && name !== 'equipment')
}

type Typed = Pick<Position, 'name' | 'plate' | 'indicated' | 'inService' | 'outOfService' | 'facts'>

/** What was typed, read as an import reads it; each field with what is wrong with it. */
function typedPosition(
  deps: Deps,
  kit: Equipment | null,
  body: Request['body'],
): { to: Typed; errors: FormErrors } {
  const values = new Map<string, string>()
  const errors: FormErrors = kit ? {} : { equipment: 'Choose the kind of equipment.' }
  fieldsFor(kit).forEach((field, n) => {
    const how = howToRead(deps, kit, field)
    const { good, bad } = parseRows(
      [{ line: 1, cells: [String(body[fieldId(field, n)] ?? '')] }],
      [field],
      how,
    )
    if (bad[0]) errors[fieldId(field, n)] = bad[0].reason
    const value = good[0]?.values.get(field.name)
    if (value !== undefined) values.set(field.name, value)
    else if (field.forNew && !bad[0]) errors[fieldId(field, n)] = 'This is needed.'
  })
  const [inService, outOfService] = [values.get('inService') ?? '', values.get('outOfService') ?? null]
  if (outOfService !== null && outOfService < inService)
    errors.outOfService = 'That is before it is in service.'
  return {
    errors,
    to: {
      ...{ name: values.get('name') ?? '', plate: values.get('plate') ?? '', inService, outOfService },
      indicated: values.get('indicated') === 'yes',
      facts: Object.fromEntries(
        [...values].flatMap(([name, value]) => (name.startsWith('fact:') ? [[name.slice(5), value]] : [])),
      ),
    },
  }
}

function howToRead(deps: Deps, kit: Equipment | null, { name }: Field): HowToRead {
  return {
    columns: { [name]: 0 },
    dateOrder: 'day first',
    decimalMark: 'point',
    toUtc: deps.times.fromLocal,
    now: deps.clock(),
    facts: new Map(kit?.facts.map(fact => [fact.name, fact])),
  }
}

/** A fact's name may hold anything, so facts go by number. */
function fieldId({ name, kind }: Field, n: number): string {
  return kind === 'fact' ? `fact${n}` : name
}

function shownFields(kit: Equipment | null) {
  const facts = new Map(kit?.facts.map(fact => [fact.name, fact]))
  return fieldsFor(kit).map((field, n) => ({
    name: fieldId(field, n),
    label: capitalize(field.title),
    // The field for a day says so itself.
    hint: field.kind === 'date' ? undefined : field.about,
    ...control(field, facts.get(field.title)),
  }))
}

function control(field: Field, fact: Fact | undefined) {
  const choice = (values: string[]) => ({
    type: 'select',
    options: [{ value: '', label: 'not on record' }, ...values.map(value => ({ value, label: value }))],
  })
  if (field.kind === 'yes or no') return choice(['yes', 'no'])
  if (field.kind === 'date') return { type: 'date', options: [] }
  if (fact && fact.choices.length > 0) return choice(fact.choices)
  return { type: fact?.unit ? 'decimal' : 'text', options: [], code: field.name === 'plate' }
}

function valuesOf(deps: Deps, position: Position): Record<string, string> {
  const kit = kitOf(deps, position.equipment)
  const day = (iso: string | null) => dayOf(deps, iso)
  const facts = fieldsFor(kit).flatMap((field, n) =>
    field.kind === 'fact' ? [[fieldId(field, n), position.facts[field.title] ?? '']] : [],
  )
  return {
    ...{ name: position.name, plate: position.plate, indicated: position.indicated ? 'yes' : 'no' },
    ...{ inService: day(position.inService), outOfService: day(position.outOfService) },
    ...Object.fromEntries(facts),
  }
}

function dayOf({ times }: Deps, iso: string | null): string {
  return iso === null ? '' : times.local(iso).slice(0, 10)
}

/** A day that was not changed stays the moment it was. */
function keptMoments(deps: Deps, { inService, outOfService }: Position, to: Typed): Typed {
  const same = (before: string | null, after: string | null) => dayOf(deps, before) === dayOf(deps, after)
  return {
    ...to,
    inService: same(inService, to.inService) ? inService : to.inService,
    outOfService: same(outOfService, to.outOfService) ? outOfService : to.outOfService,
  }
}

function kitOf(deps: Deps, slug: unknown): Equipment | null {
  return deps.library.current().knowledge.equipment.get(String(slug ?? '')) ?? null
}

function addLocals(deps: Deps, req: Request) {
  const site = deps.storage.sites.get(String(req.params.site))
  const kinds = [...deps.library.current().knowledge.equipment.values()]
  const kit =
    kitOf(deps, req.body.equipment ?? req.query.equipment) ?? (kinds.length === 1 ? (kinds[0] ?? null) : null)
  return {
    title: `A new position at ${site.name}`,
    desk: true,
    back: { href: `/sites/${site.id}`, text: site.name },
    site,
    kit,
    kinds: kinds.map(({ slug, name }) => ({
      href: `/sites/${site.id}/positions/new?equipment=${slug}`,
      name,
    })),
    position: null,
    action: `/sites/${site.id}/positions`,
    fields: shownFields(kit),
    values: {},
  }
}

function editLocals(deps: Deps, position: Position) {
  const kit = kitOf(deps, position.equipment)
  return {
    title: `Put right: ${position.name}`,
    desk: true,
    back: { href: `/positions/${position.id}`, text: position.name },
    position,
    action: `/positions/${position.id}`,
    kit,
    fields: shownFields(kit),
    changes: changesTable(deps.storage.placeChanges.list('position', position.id), deps.times),
  }
}
