// Who is signed in. A session ends when it is left idle, when it is old, when somebody signs out, when the tablet is
// revoked, and when the person is no longer active. Left idle for half an hour, anybody might have picked the tablet up;
// after twelve hours the shift is over.

import type { Person, Storage } from '../storage/storage.ts'
import { hashToken, newToken } from './tokens.ts'

export interface SessionDeps {
  storage: Pick<Storage, 'sessions' | 'people'>
  clock: () => Date
  config: { sessionIdleMinutes: number; sessionHours: number }
}

/** Begins a session; gives the token for the cookie. */
export function createSession(
  { storage }: SessionDeps,
  personId: string,
  tabletId: string | null = null,
): string {
  const token = newToken()
  storage.sessions.create({ tokenHash: hashToken(token), personId, tabletId })
  return token
}

/** The person signed in with the token, or null; being here keeps the session from going idle. */
export function readSession({ storage, clock, config }: SessionDeps, token: string): Person | null {
  const tokenHash = hashToken(token)
  const session = storage.sessions.find(tokenHash)
  if (session === null) return null
  const now = clock().getTime()
  // Either way: a clock that was put back must not make a session last.
  const idle = Math.abs(now - Date.parse(session.seenAt))
  const age = Math.abs(now - Date.parse(session.startedAt))
  const person = storage.people.find(session.personId)
  if (
    idle >= config.sessionIdleMinutes * MINUTE ||
    age >= config.sessionHours * 60 * MINUTE ||
    !person?.active
  ) {
    storage.sessions.end(tokenHash)
    return null
  }
  // A write for every page would be one too many.
  if (idle >= Math.min(MINUTE, (config.sessionIdleMinutes * MINUTE) / 4)) storage.sessions.touch(tokenHash)
  return person
}

export function endSession({ storage }: Pick<SessionDeps, 'storage'>, token: string): void {
  storage.sessions.end(hashToken(token))
}

const MINUTE = 60_000
