import { parseCookie } from 'cookie'
import type { Request, Response } from 'express'
import { z } from 'zod'
import { endSessionMarked, listSessions, type PlaceSignedIn } from '../../auth/sessions.ts'
import type { Deps } from '../deps.ts'
import { renderErrors, renderPage } from '../host/page.ts'
import { readForm } from '../host/read-form.ts'
import { person, startSession } from '../host/visitor.ts'
import { checkSecret } from './check-secret.ts'

const ending = z.object({
  secret: z.string().max(128).optional().default(''),
  session: z.string().max(64).optional().default('others'),
})

/** What the page of one's own account shows: where to change PIN and password, and where one is signed in. */
export function ownPage(deps: Deps, req: Request, res: Response) {
  const places = placesOf(deps, req, res)
  return {
    title: 'Your PIN and password',
    changed: false,
    ended: false,
    places,
    elsewhere: places.some(({ here }) => !here),
    values: {},
  }
}

/** Ends one's other sessions, all or one, on the word of the PIN or password. */
export const end = (deps: Deps) => async (req: Request, res: Response) => {
  const who = person(res)
  const again = (errors: Record<string, string>) =>
    renderErrors(res, 'people/own', { ...ownPage(deps, req, res), errors })
  const form = readForm(ending, req)
  if (!form.ok) return again(form.errors)
  const checked = await checkSecret(deps, req, res, who.name, form.data.secret)
  if ('wrong' in checked) return again({ secret: checked.wrong })
  if (form.data.session === 'others') deps.storage.sessions.endAllOf(who.id)
  else endSessionMarked(deps, who.id, form.data.session)
  const page = ownPage(deps, req, res)
  startSession(deps, req, res, who.id)
  renderPage(res, 'people/own', { ...page, ended: true })
}

/** The one in hand first. */
function placesOf(deps: Deps, req: Request, res: Response): PlaceSignedIn[] {
  const held = Object.values(parseCookie(req.headers.cookie ?? '')).flatMap(value => (value ? [value] : []))
  const all = listSessions(deps, person(res).id, held)
  return [...all.filter(({ here }) => here), ...all.filter(({ here }) => !here)]
}
