// Sites by hand: added, put right, merged with another, taken away while nothing lies there.

import { z } from 'zod'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { type FormErrors, formId, name, optionalWords, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { asFormError, changesTable } from './place-history.ts'

const view = 'engineer/railway/site-form'
const why = words('Say why.', 400)
const site = {
  id: formId,
  name: name('Write the name of the site.', 200),
  line: optionalWords(200),
  mileage: optionalWords(200),
  access: optionalWords(2000),
}
const newSite = z.object(site)
const changed = z.object({ ...site, why })
const merged = z.object({ id: formId, into: z.string().min(1, 'Choose the site that stays.'), why })
const removed = z.object({ id: formId, why })

export const add = (deps: Deps) => () => page(view, addLocals(deps))

export const create = (deps: Deps) => (req: Request) => {
  const form = readForm(newSite, req)
  const again = (errors: FormErrors) => formAgain(view, { ...addLocals(deps), values: req.body, errors })
  if (!form.ok) return again(form.errors)
  const { id, name, ...rest } = form.data
  const error = asFormError('name', () => deps.storage.sites.create({ id, name, ...wordsOf(rest) }))
  if (error) return again({ name: 'There is a site of that name already.' })
  return redirectAfterWrite(deps, req, id, `/sites/${id}`)
}

export const edit = (deps: Deps) => (req: Request) => {
  const { id, ...values } = deps.storage.sites.get(String(req.params.site))
  return page(view, { ...editLocals(deps, id), values })
}

export const update = (deps: Deps) => (req: Request) => {
  const { id: siteId } = deps.storage.sites.get(String(req.params.site))
  const form = readForm(changed, req)
  const again = (errors: FormErrors) =>
    formAgain(view, { ...editLocals(deps, siteId), values: req.body, errors })
  if (!form.ok) return again(form.errors)
  const { id, why, name, ...rest } = form.data
  const to = { name, ...wordsOf(rest) }
  const by = person(req).id
  const error = asFormError('name', () => deps.storage.placeChanges.changeSite(siteId, to, { id, by, why }))
  return error ? again(error) : redirectAfterWrite(deps, req, id, `/sites/${siteId}`)
}

/** Two entries of one place become one: its positions lie at the other, with all that happened there. */
export const merge = (deps: Deps) => (req: Request) => {
  const { id: siteId, ...values } = deps.storage.sites.get(String(req.params.site))
  const form = readForm(merged, req)
  const again = (errors: FormErrors) =>
    formAgain(view, { ...editLocals(deps, siteId), values: { ...values, ...req.body }, errors })
  if (!form.ok) return again(renamed(form.errors, 'mergeWhy'))
  const { id, into, why } = form.data
  const by = person(req).id
  const error = asFormError('into', () => deps.storage.placeChanges.mergeSite(siteId, into, { id, by, why }))
  return error ? again(error) : redirectAfterWrite(deps, req, id, `/sites/${into}`)
}

export const remove = (deps: Deps) => (req: Request) => {
  const { id: siteId, ...values } = deps.storage.sites.get(String(req.params.site))
  const form = readForm(removed, req)
  const again = (errors: FormErrors) =>
    formAgain(view, { ...editLocals(deps, siteId), values: { ...values, ...req.body }, errors })
  if (!form.ok) return again(renamed(form.errors, 'removeWhy'))
  const { id, why } = form.data
  const by = person(req).id
  const error = asFormError('removeWhy', () => deps.storage.placeChanges.removeSite(siteId, { id, by, why }))
  return error ? again(error) : redirectAfterWrite(deps, req, id, '/sites')
}

/** Several forms of the page ask why. */
function renamed({ why, ...others }: FormErrors, field: string): FormErrors {
  return why ? { ...others, [field]: why } : others
}

function wordsOf(given: { line: string | null; mileage: string | null; access: string | null }) {
  return { line: given.line ?? '', mileage: given.mileage ?? '', access: given.access ?? '' }
}

function addLocals(_deps: Deps) {
  return { title: 'A new site', desk: true, back: { href: '/sites', text: 'Sites' }, site: null, values: {} }
}

function editLocals(deps: Deps, id: string) {
  const { name } = deps.storage.sites.get(id)
  const others = deps.storage.sites.list({ limit: 2000 }).filter(one => one.id !== id)
  return {
    title: `Put right: ${name}`,
    desk: true,
    back: { href: `/sites/${id}`, text: name },
    site: { id, name },
    isEmpty: deps.storage.positions.listBySite(id).length === 0,
    others: [{ value: '', label: 'choose' }, ...others.map(one => ({ value: one.id, label: one.name }))],
    changes: changesTable(deps.storage.placeChanges.list('site', id), deps.times),
  }
}
