// Talking to the depot: whether it is there, what waits for it, and a copy of it.

/// <reference lib="webworker" />
import type { Copy } from '../../web/tablet/copy.ts'
import { fromText } from '../../web/tablet/with-maps.ts'
import { putBy } from './assets.ts'
import { drop, inTurn, lock, markSent, sent, shiftNow, takeIn, unsent } from './carrying.ts'
import { noteLost, noteSignal } from './contact.ts'
import type { Act, Shift } from './store.ts'

declare const self: ServiceWorkerGlobalScope

/** No page waits longer for the depot. */
export const patienceMs = 1500
const sendingMs = 8000
const copyMs = 120_000

/**
 * Whether an answer is the depot's own and can be used: not a captive portal's, nor a proxy's that can't reach it, nor
 * one that the depot failed at. A redirect that a browser hides may be anybody's.
 */
function isDepots({ headers, status }: Response): boolean {
  return headers.has('X-Request-Id') && status < 500 && status !== 408 && status !== 429
}

/** Asks the depot; null when it does not answer in time, or something else answers for it. */
export async function ask(
  request: Request | string,
  init: RequestInit,
  ms: number,
): Promise<Response | null> {
  const answer = await fetch(request, { redirect: 'manual', ...init, signal: AbortSignal.timeout(ms) }).catch(
    () => null,
  )
  const good = answer !== null && isDepots(answer)
  await (good ? noteSignal() : noteLost())
  return good ? answer : null
}

let sending: Promise<boolean> | null = null

/** Sends what waits, in order, each until it is acknowledged. Gives whether nothing waits any more. */
export function sendAll(): Promise<boolean> {
  sending ??= sendInOrder().finally(() => {
    sending = null
  })
  return sending
}

async function sendInOrder(): Promise<boolean> {
  for (let waiting = await unsent(); waiting[0]; waiting = await unsent()) {
    const arrived = await send(waiting[0])
    if (arrived === null) return false
    const [act] = waiting
    await inTurn(() => markSent(act, arrived.apart))
    await tellPages(waiting.length - 1)
  }
  return true
}

/** Pages that are open count down what waits. */
async function tellPages(unsent: number): Promise<void> {
  for (const client of await self.clients.matchAll()) client.postMessage({ unsent })
}

async function send(act: Act): Promise<{ apart: string | null } | null> {
  const { token, id, seq, address, form, doneAt, clockAheadMs, copiedAt, edition } = act
  const fields = {
    ...{ shift: token, act: id, seq: String(seq), path: address, form, doneAt },
    cookies: new URLSearchParams(act.cookies).toString(),
    clockAheadMs: String(clockAheadMs),
    ...(copiedAt !== undefined && { copiedAt }),
    ...(edition !== undefined && { edition }),
  }
  const reply = await ask('/tablet/acts', post(fields), sendingMs)
  const said = reply?.ok ? await reply.json().catch(() => null) : null
  return said?.arrived === id ? { apart: said.apart ?? null } : null
}

function post(fields: Record<string, string>): RequestInit {
  return { method: 'POST', body: new URLSearchParams(fields), headers: { Accept: 'application/json' } }
}

/** Begins a shift on this tablet: its token, its files, its copy. Rejects, with words, when one is not to be had. */
export async function carry(): Promise<void> {
  await putBy()
  await sendAll()
  const before = Date.now()
  const reply = await ask('/tablet/shift', post({}), sendingMs)
  if (!reply?.ok) throw new Error('The depot did not begin a shift.')
  const said: { token: string; until: string; now: string } = await reply.json()
  const clockAheadMs = Math.round((before + Date.now()) / 2 - Date.parse(said.now))
  const within = await sent()
  const copy = await fetchCopy('')
  if (!copy) throw new Error('The copy of the depot did not arrive.')
  const { tables: _tables, ...about } = copy
  const shift: Shift = { token: said.token, until: said.until, about, clockAheadMs, locked: false }
  await inTurn(() => takeIn(shift, copy, within))
}

type Same = { same: true; person: string }

async function fetchCopy(stamp: string): Promise<Copy | null> {
  const answer = await askCopy(stamp)
  return answer && !('same' in answer) ? answer : null
}

async function askCopy(stamp: string): Promise<Copy | Same | null> {
  const reply = await ask(`/tablet/copy?stamp=${encodeURIComponent(stamp)}`, { redirect: 'manual' }, copyMs)
  return reply?.ok ? (fromText(await reply.text()) as Copy | Same) : null
}

const freshMs = 5 * 60_000
let lookedAt = 0

/**
 * Brings the copy up to date, now and then, or at once. Whoever else is signed in now is not shown this person's shift:
 * its copy goes.
 */
export async function freshen(atOnce = false): Promise<void> {
  const shift = await shiftNow()
  if (!shift || (Date.now() - lookedAt < freshMs && !shift.locked && !atOnce)) return
  if (!(await sendAll())) return
  lookedAt = Date.now()
  // What is recorded while a copy is on its way may not be in it, and stays beside it.
  const within = await sent()
  const answer = await askCopy(shift.locked || atOnce ? '' : shift.about.stamp)
  if (!answer) return
  const person = 'same' in answer ? answer.person : answer.person.id
  await inTurn(async () => {
    if (person !== shift.about.person.id) await drop()
    else if ('same' in answer) await lock(false)
    else await takeIn({ ...shift, locked: false }, answer, within)
  })
}
