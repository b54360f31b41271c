// The service worker. With signal the depot answers, and what it records is recorded here too; without, the tablet
// answers from its copy, and what it records waits in order. Nothing at all is done unless a shift is carried.

/// <reference lib="webworker" />
import { AppError } from '../../errors.ts'
import type { Asked, Drawn } from '../program.ts'
import { cached, isPlain, putBy } from './assets.ts'
import { carries, explain, inTurn, lock, record, shiftNow, show, unsent } from './carrying.ts'
import { contact } from './contact.ts'
import { ask, freshen, patienceMs, sendAll } from './depot.ts'
import { heard } from './messages.ts'
import type { Shift } from './store.ts'

declare const self: ServiceWorkerGlobalScope

// A new program has its own sheets and SQLite with it before it takes the place of the one that works.
self.addEventListener('install', event => event.waitUntil(putBy().then(() => self.skipWaiting())))
self.addEventListener('activate', event => event.waitUntil(self.clients.claim()))
self.addEventListener('message', event => event.waitUntil(heard(event)))
// Where a browser wakes the worker when there is signal again, also with no page open.
self.addEventListener('sync', event => (event as ExtendableEvent).waitUntil(sendAll()))

self.addEventListener('fetch', event => {
  const { request } = event
  const url = new URL(request.url)
  if (url.origin !== self.location.origin || !['GET', 'POST'].includes(request.method)) return
  if (url.pathname.startsWith('/assets/')) {
    if (url.searchParams.has('v')) event.respondWith(cached(url.pathname + url.search))
    else if (isPlain(url.pathname)) event.respondWith(fetch(request).catch(() => cached(url.pathname)))
    return
  }
  // A file chosen for sending is not read here.
  if (request.headers.get('Content-Type')?.startsWith('multipart/')) return
  event.respondWith(respond(event, url))
})

type Form = Omit<Asked, 'cookies'>

async function respond(event: FetchEvent, url: URL): Promise<Response> {
  const { request } = event
  const shift = await shiftNow()
  const waits = (await unsent()).length > 0
  if (!shift) {
    // Its copy has gone; what waits is sent all the same.
    if (waits) event.waitUntil(sendAll())
    return fetch(request)
  }
  const asked: Form = {
    method: request.method,
    address: url.pathname + url.search,
    body: request.method === 'POST' ? await request.clone().text() : '',
    wantsJson: !request.headers.get('Accept')?.includes('text/html'),
  }
  if (shift.locked || !(await carries(asked.method, asked.address))) return passOn(event, asked, shift)
  event.waitUntil(waits ? sendAll() : freshen())
  // While something waits, the depot would answer without it.
  if (waits || (await isAway())) return responseOf(await fromTablet(event, asked))
  const answer = await ask(asked.address, asItCame(request, asked), patienceMs)
  if (answer === null) return responseOf(await fromTablet(event, asked))
  if (asked.method === 'POST' && !(await recordToo(asked, answer.clone()))) event.waitUntil(freshen(true))
  const to = redirectOf(answer)
  return to === null ? answer : redirectTo(to)
}

/** The same request, whose redirect the depot puts into words: the browser would hide even who made it. */
function asItCame({ headers: given }: Request, { method, body }: Form): RequestInit {
  const headers = new Headers(given)
  headers.set('X-Redirects', 'told')
  return { method, headers, redirect: 'manual', ...(method === 'POST' && { body }) }
}

const redirectOf = ({ headers }: Response) => headers.get('X-Redirect-To')

/** A moment ago there was no signal: no page waits to find that out again. */
async function isAway(): Promise<boolean> {
  const { lostAt } = await contact()
  return lostAt !== null
}

/** Answers from the copy, and looks meanwhile whether the depot is there again. */
function fromTablet(event: FetchEvent, asked: Form): Promise<Drawn> {
  event.waitUntil(ask('/healthz', {}, patienceMs).then(answer => answer && sendAll()))
  return inTurn(async () => {
    if (asked.method === 'GET') return show(asked)
    try {
      return waiting(await record(asked, { sent: false }), asked)
    } catch {
      const words = 'This tablet could not keep it: there is no room. Nothing was recorded. Write it down.'
      return explain(asked, new AppError('unavailable', words))
    }
  })
}

/** A page's own outbox learns that the form has not arrived, but is kept. */
function waiting(drawn: Drawn, { wantsJson }: Form): Drawn {
  if (drawn.written === null || !wantsJson) return drawn
  return { ...drawn, body: JSON.stringify({ ...JSON.parse(drawn.body), waits: true }) }
}

/**
 * What the depot has recorded is recorded here too, before it is answered, so that the walk goes on without signal.
 * False when it could not be: then the copy is behind.
 */
async function recordToo(asked: Form, answer: Response): Promise<boolean> {
  const said = answer.ok ? await answer.json().catch(() => null) : null
  if (redirectOf(answer) === null && !said?.kept) return true
  if (!new URLSearchParams(asked.body).has('id')) return true
  return inTurn(async () => (await record(asked, { sent: true })).written !== null).catch(() => false)
}

/** These end a session or begin another: until the depot has said who is there, the tablet shows nothing. */
const changesPerson = /^\/(sign-in|sign-out|cover)(\?|$)/

/** An address that the depot alone answers. What waits is sent first, so that its page has it. */
async function passOn(event: FetchEvent, asked: Form, shift: Shift): Promise<Response> {
  const { request } = event
  if ((await unsent()).length > 0) await Promise.race([sendAll(), pause(patienceMs)])
  const changes = asked.method === 'POST' && changesPerson.test(asked.address)
  try {
    const answer = await fetch(request)
    if (changes) await inTurn(() => lock(true))
    else if (shift.locked) event.waitUntil(freshen())
    return answer
  } catch (error) {
    if (request.mode !== 'navigate') throw error
    return responseOf(await explain(asked, new AppError('unavailable', whyNot(asked, shift))))
  }
}

function whyNot({ address }: Form, shift: Shift): string {
  if (shift.locked)
    return 'You have signed out on this tablet. Signing in needs signal. What was recorded is kept and will be sent.'
  if (changesPerson.test(address)) return 'Signing out or changing user needs signal. Nothing has changed.'
  return 'This page needs signal. What you have recorded is kept on this tablet.'
}

const pause = (ms: number) => new Promise(done => setTimeout(done, ms))

function responseOf({ status, headers, body }: Drawn): Response {
  const { Location: to, ...others } = headers
  return to === undefined ? new Response(body, { status, headers: others }) : redirectTo(to)
}

function redirectTo(address: string): Response {
  return Response.redirect(new URL(address, self.location.origin).href, 303)
}
