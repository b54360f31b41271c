import { z } from 'zod'
import { endSessionMarked, listSessions, type PlaceSignedIn } from '../../auth/sessions.ts'
import type { Deps } from '../deps.ts'
import { formAgain, page } from '../host/answer.ts'
import { readForm } from '../host/read-form.ts'
import { person, type Request } from '../host/request.ts'
import { personStill, sessionToken, startSession } from '../host/sessions.ts'
import { checkSecret } from './check-secret.ts'

const ending = z.object({
  secret: z.string().max(128).optional().default(''),
  session: z.string().max(64).optional().default('others'),
})

/** What the page of one's own account shows: where to change PIN and password, and where one is signed in. */
export function ownPage(deps: Deps, req: Request) {
  const places = placesOf(deps, req)
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
export const end = (deps: Deps) => async (req: Request) => {
  const who = person(req)
  const again = (errors: Record<string, string>) => formAgain('people/own', { ...ownPage(deps, req), errors })
  const form = readForm(ending, req)
  if (!form.ok) return again(form.errors)
  const checked = await checkSecret(deps, req, who.name, form.data.secret)
  if ('wrong' in checked) return again({ secret: checked.wrong })
  personStill(deps, req)
  if (form.data.session === 'others') deps.storage.sessions.endAllOf(who.id)
  else endSessionMarked(deps, who.id, form.data.session)
  const locals = { ...ownPage(deps, req), ended: true }
  return page('people/own', locals, { cookies: startSession(deps, req, who.id) })
}

/** The one in hand first. */
function placesOf(deps: Deps, req: Request): PlaceSignedIn[] {
  const token = sessionToken(req)
  const all = listSessions(deps, person(req).id, token ? [token] : [])
  return [...all.filter(({ here }) => here), ...all.filter(({ here }) => !here)]
}
