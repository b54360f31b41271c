// Cookies of a session and of a tablet: a handler gives them with its answer.

import { may, type Right } from '../../auth/roles.ts'
import { createSession, endSession, readSession } from '../../auth/sessions.ts'
import { hashToken } from '../../auth/tokens.ts'
import { AppError } from '../../errors.ts'
import type { Person, Tablet } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import type { Cookie } from './answer.ts'
import { isEnrolled, type Request } from './request.ts'

const session = 'fourfoot'
const tablet = 'tablet'
const last = 'last'
/** As long as browsers keep one; each sign-in begins it anew. */
const TABLET_DAYS = 400

type Cookies = Request['cookies']

/** Who the session's cookie is of, or null. */
export function personOf(deps: Deps, cookies: Cookies): Person | null {
  const token = cookies[session]
  return token ? readSession(deps, token) : null
}

/** The enrolled tablet that the cookie is of, or null. */
export function tabletOf(deps: Deps, cookies: Cookies): Tablet | null {
  const token = cookies[tablet]
  return token ? deps.storage.tablets.findByToken(hashToken(token)) : null
}

/** The token of the session the request is part of; undefined when signed out. */
export function sessionToken({ cookies }: Request): string | undefined {
  return cookies[session]
}

/**
 * Who is signed in, looked up again: a handler that has waited asks this before it writes. Throws 'signed out' when the
 * session or the person's access has ended meanwhile, and 'forbidden' when the role has lost the right.
 */
export function personStill(deps: Deps, req: Request, right?: Right): Person {
  const who = req.stillThere ? req.stillThere() : personOf(deps, req.cookies)
  if (who === null || who.id !== req.visitor.person?.id)
    throw new AppError(
      'signed out',
      'You were signed out meanwhile. Nothing was changed. Sign in and try again.',
    )
  if (right && !may(who.role, right))
    throw new AppError('forbidden', `This is not for the role “${who.role}”. Nothing was changed.`)
  return who
}

/** Begins a session in place of the one there may be. */
export function startSession(deps: Deps, req: Request, personId: string): Cookie[] {
  const ended = stopSession(deps, req)
  const token = createSession(deps, personId, req.visitor.tablet?.id ?? null)
  const enrolled = req.cookies[tablet]
  return [
    ...ended,
    ...(req.visitor.tablet && enrolled ? [enrolHere(enrolled)] : []),
    { name: session, value: token, maxAgeMs: deps.config.sessionHours * 3600_000 },
  ]
}

export function stopSession(deps: Deps, req: Request): Cookie[] {
  const token = sessionToken(req)
  if (token) endSession(deps, token)
  return [{ name: session, value: null }]
}

/** Makes this browser the enrolled tablet that the token is of. */
export function enrolHere(token: string): Cookie {
  return { name: tablet, value: token, maxAgeMs: TABLET_DAYS * 86_400_000 }
}

/** The name of the person last signed in on this tablet, so that after a pause only the PIN is asked. */
export function lastHere(deps: Deps, req: Request): string {
  const id = isEnrolled(deps, req) ? req.cookies[last] : undefined
  const person = id ? deps.storage.people.find(id) : null
  return person?.active ? person.name : ''
}

export function rememberHere(deps: Deps, req: Request, { id }: Person): Cookie[] {
  if (!isEnrolled(deps, req)) return []
  return [{ name: last, value: id, maxAgeMs: deps.config.sessionHours * 3600_000 }]
}
