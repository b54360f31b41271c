import { parseCookie } from 'cookie'
import type { Request, RequestHandler, Response } from 'express'
import { slowedDown } from '../../auth/attempts.ts'
import { createSession, endSession, readSession } from '../../auth/sessions.ts'
import { hashToken } from '../../auth/tokens.ts'
import { AppError } from '../../errors.ts'
import { findCauseByKey } from '../../knowledge/graph.ts'
import type { Actor } from '../../storage/engine/acting.ts'
import type { Person, Tablet } from '../../storage/storage.ts'
import { duration } from '../../times.ts'
import type { Deps } from '../deps.ts'
import { navigation } from '../navigation.ts'
import { assetAddresses } from './assets.ts'
import { isOwnAddress } from './kept-form.ts'

/** What a cookie is called. Over https the name itself keeps a neighbour or an unsafe page from setting it. */
export function cookieName({ config }: Deps, name: string): string {
  return config.cookieSecure ? `__Host-${name}` : name
}

const sessionCookie = (deps: Deps) => cookieName(deps, 'fourfoot')
const tabletCookie = (deps: Deps) => cookieName(deps, 'tablet')
/** As long as browsers keep one; each sign-in begins it anew. */
const TABLET_DAYS = 400
const lastCookie = (deps: Deps) => cookieName(deps, 'last')

/** Reads who is there and how they like their pages; fills what the head and foot of each page show. */
export function readVisitor(deps: Deps): RequestHandler {
  const assets = assetAddresses(deps.viewsDir)
  const edition = editionWords(deps)
  const named = {
    look: cookieName(deps, 'look'),
    kept: cookieName(deps, 'kept'),
    sent: cookieName(deps, 'sent'),
  }
  return (req, res, next) => {
    const cookies = parseCookie(req.headers.cookie ?? '')
    const chosen = cookies[named.look]
    const look = chosen === 'day' || chosen === 'night' ? chosen : 'auto'
    const kept = cookies[named.kept]
    const address = req.method === 'GET' ? req.originalUrl : '/'
    res.locals.times = deps.times
    res.locals.duration = duration
    res.locals.served = () => served(deps)
    res.locals.sentence = sentence
    res.locals.causeTitle = (key: string) => causeTitle(deps, key)
    res.locals.frame = { look, address, assets, warnings: warnings(deps, null), kept: keptId(kept) }
    res.locals.foot = { look, address, sent: cookies[named.sent], edition: edition() }
    // Only now the database is asked: should it not answer, the page that says so can be drawn.
    deps.storage.lookOnce()
    const enrolled = cookies[tabletCookie(deps)]
    res.locals.tablet = enrolled ? deps.storage.tablets.findByToken(hashToken(enrolled)) : null
    const token = cookies[sessionCookie(deps)]
    const person = token ? readSession(deps, token) : null
    if (person) knowPerson(deps, req, res, person)
    if (kept && req.method === 'GET') res.clearCookie(named.kept, cookieShape(deps))
    next()
  }
}

/** The time by the server's clock, to hold a tablet's against and to be read. */
function served({ clock, times }: Deps): { ms: number; words: string } {
  const now = clock()
  return { ms: now.getTime(), words: times.clock(now.toISOString()) }
}

function knowPerson(deps: Deps, req: Request, res: Response, person: Person): void {
  res.locals.person = person
  Object.assign(res.locals.frame, {
    person,
    nav: person.given ? [] : navigation(person.role, req.path),
    warnings: warnings(deps, person),
    idle: isEnrolled(deps, res) ? deps.config.sessionIdleMinutes : undefined,
  })
}

/** Who the trail names. */
export function actorOf(res: Response): Actor {
  return { personId: visitor(res)?.id ?? null, tabletId: tablet(res)?.id ?? null }
}

/** Whether a PIN works here. Everybody's browser is enrolled in the demo, where nothing is real. */
export function isEnrolled(deps: Deps, res: Response): boolean {
  return tablet(res) !== null || deps.demoNotice !== null
}

/** Makes this browser the enrolled tablet that the token is of. */
export function enrolHere(deps: Deps, res: Response, token: string): void {
  res.cookie(tabletCookie(deps), token, { ...cookieShape(deps), maxAge: TABLET_DAYS * 86_400_000 })
}

/** The name of whoever was signed in on this tablet last, so that after a pause only the PIN is asked. */
export function lastHere(deps: Deps, req: Request, res: Response): string {
  const id = isEnrolled(deps, res) ? parseCookie(req.headers.cookie ?? '')[lastCookie(deps)] : undefined
  const known = id ? deps.storage.people.find(id) : null
  return known?.active ? known.name : ''
}

export function rememberHere(deps: Deps, res: Response, { id }: Person): void {
  if (!isEnrolled(deps, res)) return
  res.cookie(lastCookie(deps), id, { ...cookieShape(deps), maxAge: deps.config.sessionHours * 3600_000 })
}

/** The enrolled tablet the page is on, or null. */
export function tablet(res: Response): Tablet | null {
  return res.locals.tablet ?? null
}

/** Who is signed in, or null. */
export function visitor(res: Response): Person | null {
  return res.locals.person ?? null
}

/** Who is signed in; only behind mustHave. */
export function person(res: Response): Person {
  const who = visitor(res)
  if (!who) throw new AppError('signed out', 'Sign in first.')
  return who
}

export function startSession(deps: Deps, req: Request, res: Response, personId: string): void {
  stopSession(deps, req, res)
  const token = createSession(deps, personId, tablet(res)?.id ?? null)
  const enrolled = parseCookie(req.headers.cookie ?? '')[tabletCookie(deps)]
  if (tablet(res) && enrolled) enrolHere(deps, res, enrolled)
  res.cookie(sessionCookie(deps), token, {
    ...cookieShape(deps),
    maxAge: deps.config.sessionHours * 3600_000,
  })
}

export function stopSession(deps: Deps, req: Request, res: Response): void {
  const token = parseCookie(req.headers.cookie ?? '')[sessionCookie(deps)]
  if (token) endSession(deps, token)
  res.clearCookie(sessionCookie(deps), cookieShape(deps))
}

/**
 * Ends a form that was written: a page goes on to `next`, and the tablet is told which write was kept, so that it may
 * forget its draft. A tablet that sends by script gets the same as JSON.
 */
export function written(deps: Deps, req: Request, res: Response, formId: string, next: string): void {
  const sent = deps.times.clock(deps.clock().toISOString())
  res.cookie(cookieName(deps, 'sent'), sent, { ...cookieShape(deps), maxAge: 12 * 3600_000 })
  if (req.accepts(['html', 'json']) === 'json') {
    res.json({ kept: formId, next })
    return
  }
  res.cookie(cookieName(deps, 'kept'), formId, { ...cookieShape(deps), maxAge: 60_000 })
  // Without the page that Express makes for browsers that follow no address.
  res.status(303).location(next).end()
}

/** Where a form asked to return to, if that is an address of this program; else the first page. */
export function localAddress(address: unknown): string {
  return typeof address === 'string' && isOwnAddress(address) ? address : '/'
}

export function cookieShape(deps: Deps) {
  return { httpOnly: true, sameSite: 'lax', secure: deps.config.cookieSecure, path: '/' } as const
}

function keptId(value: string | undefined): string | undefined {
  return value && /^[0-9a-f-]{36}$/.test(value) ? value : undefined
}

/** With its first letter large, as a sentence begins. */
function sentence(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1)
}

/** A cause that has gone from the edition in use keeps the words of its key. */
function causeTitle(deps: Deps, key: string): string {
  const words = key.slice(key.indexOf('/') + 1).replaceAll('-', ' ')
  return findCauseByKey(deps.library.current().knowledge, key)?.title ?? words
}

/** The words are the same on every page until another edition is in use. */
function editionWords(deps: Deps): () => string {
  let named: { id: string; words: string } | null = null
  return () => {
    const { id, publishedAt } = deps.library.current()
    if (named?.id !== id)
      named = { id, words: `Fault trees: edition ${id.slice(0, 8)} of ${deps.times.day(publishedAt)}` }
    return named.words
  }
}

function warnings(deps: Deps, who: Person | null): string[] {
  const list = deps.demoNotice ? [deps.demoNotice] : []
  const errors = deps.library.problems().filter(problem => problem.severity === 'error').length
  const concerned = who && who.role !== 'technician'
  if (who) list.push(...withdrawnWords(deps))
  if (errors > 0 && concerned) {
    list.push(
      `The knowledge folder has ${errors} ${errors === 1 ? 'error' : 'errors'} and was not published: an earlier edition is in use. See Fault trees.`,
    )
  }
  if (who?.role === 'engineer') list.push(...engineersWarnings(deps))
  return list
}

function engineersWarnings(deps: Deps): string[] {
  const trouble = deps.backups?.()?.trouble
  const dayAgo = new Date(deps.clock().getTime() - 86_400_000).toISOString()
  const names = new Set(deps.storage.trail.listHappened(slowedDown, dayAgo).map(entry => entry.key))
  return [
    ...(trouble ? [`The last backup failed: ${trouble}`] : []),
    ...(names.size > 0
      ? [`Wrong PINs or passwords were typed for ${[...names].slice(0, 3).join(', ')}. See People.`]
      : []),
  ]
}

/** Said on every page to everybody: whoever is out with a withdrawn tree must learn of it at once. */
function withdrawnWords({ storage, library, times }: Deps): string[] {
  const { trees } = library.current().knowledge
  return storage.publications.withdrawnTrees().map(({ tree, at, byName, words }) => {
    const title = trees.get(tree)?.title ?? tree
    return `The fault tree “${title}” was withdrawn by ${byName}, ${times.moment(at)}: ${words} Ask before you go on with it.`
  })
}
