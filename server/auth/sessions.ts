// Sessions. One ends when it is left idle, when it is old, at sign-out, when the tablet is revoked, and when the person is
// no longer active. A tablet left idle for half an hour may be in other hands; after twelve hours the shift is over.

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
  const idle = idleFor(session, now)
  const person = storage.people.find(session.personId)
  if (isOver(session, idle, now, config) || !person?.active) {
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

export interface PlaceSignedIn {
  /** Identifies the session, and can't be used to sign in. */
  mark: string
  /** null on a browser that is no tablet of the depot. */
  tabletName: string | null
  startedAt: string
  seenAt: string
  /** Whether it is the session of this request. */
  here: boolean
}

/** Where the person is signed in just now, the newest first; `tokens`: those of the browser that asks. */
export function listSessions(deps: SessionDeps, personId: string, tokens: string[]): PlaceSignedIn[] {
  const hashes = new Set(tokens.map(hashToken))
  return openSessions(deps, personId).map(({ tokenHash, ...rest }) => ({
    ...rest,
    mark: markOf(tokenHash),
    here: hashes.has(tokenHash),
  }))
}

/** Ends one of the person's own sessions, by its mark; gives whether there was one. */
export function endSessionMarked(deps: SessionDeps, personId: string, mark: string): boolean {
  const session = openSessions(deps, personId).find(({ tokenHash }) => markOf(tokenHash) === mark)
  if (session) deps.storage.sessions.end(session.tokenHash)
  return session !== undefined
}

function openSessions({ storage, clock, config }: SessionDeps, personId: string) {
  const now = clock().getTime()
  return storage.sessions
    .listOpen(personId)
    .filter(session => !isOver(session, idleFor(session, now), now, config))
}

const markOf = (tokenHash: string) => hashToken(tokenHash).slice(0, 16)

/** Either way: a clock that was put back must not make a session last. */
const idleFor = ({ seenAt }: { seenAt: string }, now: number) => Math.abs(now - Date.parse(seenAt))

function isOver(
  { startedAt }: { startedAt: string },
  idle: number,
  now: number,
  { sessionIdleMinutes, sessionHours }: SessionDeps['config'],
): boolean {
  const age = Math.abs(now - Date.parse(startedAt))
  // A time that is none makes neither true: such a session does not last either.
  return !(idle < sessionIdleMinutes * MINUTE && age < sessionHours * 60 * MINUTE)
}

const MINUTE = 60_000
