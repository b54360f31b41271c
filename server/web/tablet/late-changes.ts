// What an act that arrived late changes at its fault, in words: for the people who were there, and for the engineer.

import { AppError } from '../../errors.ts'
import { findCheck } from '../../knowledge/graph.ts'
import { type Actor, actAs } from '../../storage/engine/acting.ts'
import type { ArrivedAct } from '../../storage/storage.ts'
import { type Changed, changed } from '../../walk/known.ts'
import type { FaultRecord } from '../../walk/record.ts'
import type { Deps } from '../deps.ts'
import { isAsync } from '../host/answering.ts'
import type { Request } from '../host/request.ts'
import { carriedRoutes } from './carried-routes.ts'
import { type Found, findRoute } from './find-route.ts'
import { type LateView, lateDeps } from './late-deps.ts'

export interface Arrived {
  act: Request
  view: LateView
  found: Found | null
  /** Why it is not recorded; null when it is. */
  apart: string | null
  shiftId: string
}

/**
 * What the act changes, given the record as it was before; null when nothing. Of a fault that was closed meanwhile, what
 * all that stands apart of this shift would change: it is tried, and taken back.
 */
export function lateChanges(deps: Deps, before: FaultRecord, arrived: Arrived): string | null {
  const knowledge = deps.library.edition(before.fault.editionId)?.knowledge
  if (!knowledge) return null
  const after =
    arrived.apart === null ? deps.storage.faults.get(before.fault.id) : tried(deps, before, arrived)
  if (!after) return null
  const { open, setAside } = changed(knowledge, before, after)
  const lines = [
    ...open.map(item => `Nobody is on record to have put it back: ${item}.`),
    ...asideLines(setAside),
  ]
  return lines.length > 0 ? lines.join('\n') : null

  function asideLines(all: Changed['setAside']): string[] {
    return all.map(({ proof, items }) => {
      const made = after?.proofs.find(({ id }) => id === proof)
      const check = made && made.kind !== 'symptom' && knowledge ? findCheck(knowledge, made.check) : null
      const what = check ? `The proof “${check.title}”` : 'The last look at the symptom'
      return `${what} no longer counts: when it was made, this was disturbed: ${items.join(', ')}.`
    })
  }
}

/** The record with what stands apart of this shift; null where none of it could ever stand there. */
function tried(deps: Deps, { fault: { id } }: FaultRecord, arrived: Arrived): FaultRecord | null {
  const { act, found, view, shiftId } = arrived
  if (!found) return null
  let record: FaultRecord | null = null
  const earlier = deps.storage.shifts
    .listLate(id)
    .filter(one => one.shiftId === shiftId && one.apart !== null)
  try {
    deps.storage.transaction(() => {
      for (const one of earlier) attempt(deps, view, again(act, one))
      attempt(deps, view, act)
      record = deps.storage.faults.get(id)
      throw new TakenBack()
    })
  } catch (error) {
    if (!(error instanceof TakenBack)) throw error
  }
  return record
}

class TakenBack extends Error {}

function attempt(deps: Deps, view: LateView, act: Request): void {
  const found = findRoute(carriedRoutes, 'POST', act.path)
  const handle = found?.route.handler(lateDeps(deps, view))
  // One that waits for something would go on after it was taken back.
  if (!found || !handle || isAsync(handle)) return
  try {
    actAs(actorOf(act), () => deps.storage.transaction(() => handle({ ...act, params: found.params })))
  } catch (error) {
    if (!(error instanceof AppError)) throw error
  }
}

function actorOf({ visitor: { person, tablet }, doneAt, late }: Request): Actor {
  const who = { personId: person?.id ?? null, tabletId: tablet?.id ?? null, doneAt }
  return { ...who, late: { arrivedAt: late?.arrivedAt ?? '', unseen: [], alsoClosed: true } }
}

function again(act: Request, { path, fields, doneAt }: ArrivedAct): Request {
  return { ...act, path, address: path, body: fields, doneAt }
}
