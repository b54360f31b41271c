// Forms that a tablet recorded without signal arrive here, in order, each exactly once. None is refused: each is taken
// into the record as the tablet knew it, and what can't be stands apart, beside the record.

import { z } from 'zod'
import { hashToken } from '../../auth/tokens.ts'
import { AppError } from '../../errors.ts'
import { storageTrouble } from '../../storage/engine/trouble.ts'
import type { LateAct, Person, Shift, Tablet } from '../../storage/storage.ts'
import { knownTo, unseenIn } from '../../walk/known.ts'
import type { FaultRecord } from '../../walk/record.ts'
import type { Deps } from '../deps.ts'
import { type Answer, json } from '../host/answer.ts'
import { answering } from '../host/answering.ts'
import type { Request } from '../host/request.ts'
import { secretFields } from '../host/secret-fields.ts'
import { writtenTo } from '../host/sent-once.ts'
import { carriedRoutes } from './carried-routes.ts'
import { type Found, findRoute } from './find-route.ts'
import { lateChanges } from './late-changes.ts'
import { type LateView, lateDeps } from './late-deps.ts'

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
  /** When the copy was made that it was done over, and the edition in use there. */
  copiedAt: z.iso.datetime().optional(),
  edition: z.string().max(100).optional(),
})
type Sent = z.output<typeof sent>

/** Takes one act; the answer names it, with why it stands apart when it does. Throws 'forbidden' for a token that is none. */
export const receive = (deps: Deps) => async (req: Request) => {
  const read = sent.safeParse(req.body)
  if (!read.success) throw new AppError('invalid', 'This is no act of a tablet.')
  const act = read.data
  const sender = senderOf(deps, act.shift)
  const before = deps.storage.shifts.findAct(act.act)
  if (before) return json({ arrived: before.id, apart: before.apart })
  const arrivedAt = deps.clock().toISOString()
  const found = findRoute(carriedRoutes, 'POST', act.path)
  const late = lateAct(act, sender, found, arrivedAt)
  const outcome = sender.revoked ? { ...nothing, apart: sender.revoked } : await take(deps, req, act, sender)
  deps.storage.shifts.addAct({ ...late, ...outcome }, arrivedAt)
  return json({ arrived: act.act, apart: outcome.apart })
}

/** `apart`: why it is not recorded; `beside`: what the tablet did not know of; `changes`: what it changes. In words. */
type Outcome = Pick<LateAct, 'apart' | 'beside' | 'changes'>

const nothing: Outcome = { apart: null, beside: null, changes: null }

async function take(deps: Deps, req: Request, act: Sent, sender: Sender): Promise<Outcome> {
  const found = findRoute(carriedRoutes, 'POST', act.path)
  const faultId = found?.params.fault
  const view = viewOf(deps, act, sender, faultId)
  const record = faultId === undefined ? null : recordOf(deps, faultId)
  const unseen = record ? unseenIn(record, knownTo(record, view)) : []
  const late = lateRequest(deps, req, act, sender, unseen)
  const apart = await trying(lateDeps(deps, view), found, late)
  const beside = record && unseen.length > 0 && apart === null ? besideWords(record, unseen) : null
  const changes =
    record && (apart ?? beside)
      ? lateChanges(deps, record, { act: late, view, apart, found, shiftId: sender.shift.id })
      : null
  return { apart, beside, changes }
}

function recordOf({ storage }: Deps, faultId: string): FaultRecord | null {
  try {
    return storage.faults.get(faultId)
  } catch (error) {
    if (error instanceof AppError) return null
    throw error
  }
}

function viewOf(
  { storage }: Deps,
  act: Sent,
  { shift, person }: Sender,
  faultId: string | undefined,
): LateView {
  const copiedAt = act.copiedAt ?? shift.startedAt
  const since = faultId === undefined ? [] : storage.shifts.arrivedSince(faultId, copiedAt)
  return { personId: person.id, copiedAt, arrivedSince: new Set(since), edition: act.edition ?? null }
}

/** "Moss Tarrick had recorded 2 entries here that were not on this tablet." */
function besideWords({ attendances, findings, ...more }: FaultRecord, unseen: string[]): string {
  const { disturbances, restorations, repairs, proofs, handovers, holdReleases } = more
  const rows = [findings, disturbances, restorations, repairs, proofs, handovers, holdReleases].flat()
  const names = [
    ...attendances.filter(({ id }) => unseen.includes(id)).map(({ personName }) => personName),
    ...rows.filter(({ id }) => unseen.includes(id)).map(({ byName }) => byName),
  ]
  const who = [...new Set(names)].sort().join(' and ') || 'Somebody'
  return `${who} had recorded something here that was not on this tablet.`
}

interface Sender {
  shift: Shift
  person: Person
  tablet: Tablet | null
  /** Why nothing of it enters the record; null for a tablet that is trusted. */
  revoked: string | null
}

function senderOf({ storage, times }: Deps, token: string): Sender {
  const shift = storage.shifts.findByToken(hashToken(token))
  const person = shift && storage.people.find(shift.personId)
  if (!shift || !person) throw new AppError('forbidden', 'The depot knows no such shift.')
  const tablet = storage.tablets.list().find(one => one.id === shift.tabletId) ?? null
  const at = tablet?.revokedAt
  const revoked = at ? `It came from a tablet that was revoked ${times.moment(at)}, after that.` : null
  return { shift, person, tablet, revoked }
}

/** The form as if it came from the person themselves, at the time it was done: never before the shift, never to come. */
function lateRequest(
  deps: Deps,
  req: Request,
  act: Sent,
  { shift, person, tablet }: Sender,
  unseen: string[],
): Request {
  const now = deps.clock()
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
    doneAt: within(act.doneAt, shift.startedAt, now),
    late: { arrivedAt: now.toISOString(), unseen },
    stillThere: () => deps.storage.people.find(person.id),
    upload: req.upload,
  }
}

function within(time: string, earliest: string, latest: Date): string {
  const ms = Math.min(Math.max(Date.parse(time), Date.parse(earliest)), latest.getTime())
  return new Date(ms).toISOString()
}

/**
 * Null when it was recorded; else why not, in words. Throws where the database takes nothing just now: the tablet sends it
 * again. What fails in any other way would fail each time, and keep all that waits behind it: it stands apart.
 */
async function trying(deps: Deps, found: Found | null, req: Request): Promise<string | null> {
  if (!found) return 'This version of the program has no such form.'
  try {
    const answer = await answering(deps, found.route)({ ...req, params: found.params })
    return writtenTo(answer) === null ? refusalIn(answer) : null
  } catch (error) {
    if (storageTrouble(error) !== null) throw error
    if (error instanceof AppError && error.code !== 'unavailable') return error.message
    if (error instanceof AppError) throw error
    deps.log.error({ err: error, requestId: req.id }, 'an act of a tablet failed')
    return `The depot failed at it. Number: ${req.id}.`
  }
}

function refusalIn(answer: Answer): string {
  if (answer.kind === 'json' && answer.data.conflict) return 'Something else was recorded under its number.'
  if (answer.kind !== 'page') return 'It was not recorded.'
  const errors = Object.values((answer.locals.errors ?? {}) as Record<string, string>)
  return errors.length > 0 ? errors.join(' ') : `It was answered by the page “${answer.locals.title ?? ''}”.`
}

function lateAct(
  act: Sent,
  { shift }: Sender,
  found: Found | null,
  arrivedAt: string,
): Omit<LateAct, keyof Outcome> {
  const fields = Object.entries(fieldsOf(act.form)).filter(([name]) => !secretFields.includes(name))
  return {
    id: act.act,
    shiftId: shift.id,
    seq: act.seq,
    path: act.path,
    faultId: found?.params.fault ?? null,
    fields: Object.fromEntries(fields.map(([name, value]) => [name, [value].flat().join(', ')])),
    doneAt: within(act.doneAt, shift.startedAt, new Date(arrivedAt)),
    clockAheadMs: act.clockAheadMs ?? null,
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
