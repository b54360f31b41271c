// Forms that a tablet recorded without signal arrive here, in order, each exactly once. None is refused: what can't be
// recorded as it was sent stands apart, beside the record.

import { z } from 'zod'
import { hashToken } from '../../auth/tokens.ts'
import { AppError } from '../../errors.ts'
import { clockOfActs } from '../../storage/engine/acting.ts'
import { storageTrouble } from '../../storage/engine/trouble.ts'
import type { LateAct, Person, Shift } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { type Answer, json } from '../host/answer.ts'
import { answering } from '../host/answering.ts'
import type { Request } from '../host/request.ts'
import type { Route } from '../host/route.ts'
import { secretFields } from '../host/secret-fields.ts'
import { writtenTo } from '../host/sent-once.ts'
import { carriedRoutes } from './carried-routes.ts'
import { type Found, findRoute } from './find-route.ts'

const sent = z.object({
  shift: z.string().max(100),
  act: z.uuid(),
  seq: z.coerce.number().int().min(1),
  path: z.string().startsWith('/').max(500),
  /** The form, as a browser sends it. */
  form: z.string(),
  /** The instrument in hand and how pages look. */
  cookies: z.string().max(2000).transform(readCookies),
  doneAt: z.iso.datetime(),
  clockAheadMs: z.coerce.number().int().optional(),
})
type Sent = z.output<typeof sent>

type Handle = (req: Request) => Answer | Promise<Answer>

/** Takes one act; the answer names it, with why it stands apart when it does. Throws 'forbidden' for a token that is none. */
export const receive = (deps: Deps) => {
  const handlers = new Map<Route, Handle>()
  // A handler reads the time of the act, not of its arrival.
  const then: Deps = { ...deps, clock: clockOfActs(deps.clock) }
  const handlerOf = (route: Route): Handle => {
    const handle = handlers.get(route) ?? answering(then, route)
    handlers.set(route, handle)
    return handle
  }

  return async function receiveAct(req: Request) {
    const act = sent.safeParse(req.body)
    if (!act.success) throw new AppError('invalid', 'This is no act of a tablet.')
    const { shift, person } = senderOf(deps, act.data.shift)
    const before = deps.storage.shifts.findAct(act.data.act)
    if (before) return json({ arrived: before.id, apart: before.apart })
    const late = lateRequest(deps, req, act.data, { shift, person })
    const found = findRoute(carriedRoutes, 'POST', late.path)
    const apart = await trying(found, late, handlerOf)
    const arrivedAt = deps.clock().toISOString()
    deps.storage.shifts.addAct(lateAct(act.data, late, { shift, found, apart }), arrivedAt)
    return json({ arrived: act.data.act, apart })
  }
}

interface Sender {
  shift: Shift
  person: Person
}

function senderOf(deps: Deps, token: string): Sender {
  const shift = deps.storage.shifts.findByToken(hashToken(token))
  const person = shift && deps.storage.people.find(shift.personId)
  const tablet = deps.storage.tablets.list().find(one => one.id === shift?.tabletId)
  if (!shift || !person) throw new AppError('forbidden', 'The depot knows no such shift.')
  if (tablet?.revokedAt) throw new AppError('forbidden', 'This tablet was revoked. What waits stays on it.')
  return { shift, person }
}

/** The form as if it came from the person themselves, at the time it was done: never before the shift, never to come. */
function lateRequest(deps: Deps, req: Request, act: Sent, { shift, person }: Sender): Request {
  const tablet = deps.storage.tablets.list().find(one => one.id === shift.tabletId) ?? null
  return {
    id: req.id,
    method: 'POST',
    path: act.path,
    address: act.path,
    params: {},
    query: {},
    body: fieldsOf(act.form),
    cookies: act.cookies,
    wantsJson: true,
    ip: req.ip,
    origin: req.origin,
    visitor: { ...req.visitor, person, tablet },
    doneAt: within(act.doneAt, shift.startedAt, deps.clock()),
    stillThere: () => deps.storage.people.find(person.id),
    upload: req.upload,
  }
}

function within(time: string, earliest: string, latest: Date): string {
  const ms = Math.min(Math.max(Date.parse(time), Date.parse(earliest)), latest.getTime())
  return new Date(ms).toISOString()
}

/** Null when it was recorded; else why not, in words. Throws what is trouble of ours: the tablet sends it again. */
async function trying(
  found: Found | null,
  req: Request,
  handlerOf: (route: Route) => Handle,
): Promise<string | null> {
  if (!found) return 'This version of the program has no such form.'
  try {
    const answer = await handlerOf(found.route)({ ...req, params: found.params })
    return writtenTo(answer) === null ? refusalIn(answer) : null
  } catch (error) {
    if (error instanceof AppError && storageTrouble(error) === null && error.code !== 'unavailable')
      return error.message
    throw error
  }
}

function refusalIn(answer: Answer): string {
  if (answer.kind === 'json' && answer.data.conflict) return 'Something else was recorded under its number.'
  if (answer.kind !== 'page') return 'It was not recorded.'
  const errors = Object.values((answer.locals.errors ?? {}) as Record<string, string>)
  return errors.length > 0 ? errors.join(' ') : `It was answered by the page “${answer.locals.title ?? ''}”.`
}

interface Outcome {
  shift: Shift
  found: Found | null
  apart: string | null
}

function lateAct(act: Sent, { body, doneAt }: Request, { shift, found, apart }: Outcome): LateAct {
  const fields = Object.entries(body).filter(([name]) => !secretFields.includes(name))
  return {
    id: act.act,
    shiftId: shift.id,
    seq: act.seq,
    path: act.path,
    faultId: found?.params.fault ?? null,
    fields: Object.fromEntries(fields.map(([name, value]) => [name, [value].flat().join(', ')])),
    doneAt: doneAt ?? act.doneAt,
    clockAheadMs: act.clockAheadMs ?? null,
    apart,
  }
}

/** The fields of a form; one that comes twice is a list. */
export function fieldsOf(text: string): Record<string, string | string[]> {
  const fields: Record<string, string | string[]> = {}
  for (const [name, value] of new URLSearchParams(text)) {
    const before = fields[name]
    fields[name] = before === undefined ? value : [before, value].flat()
  }
  return fields
}

/** Of the cookies only what a page chose; no session can be given this way, as none is asked. */
function readCookies(text: string): Record<string, string> {
  return Object.fromEntries(new URLSearchParams(text))
}
