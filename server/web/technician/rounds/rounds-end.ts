import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { idWithin } from '../../../ids.ts'
import { renderMarkdown } from '../../../knowledge/render.ts'
import type { HowEnded } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, optionalWords, readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { shownCaution } from '../../shown-caution.ts'
import { foundWords } from '../in-hand/found-words.ts'
import { endsHow, open, placeInRound, type RoundInHand, readOwnRound } from './rounds-in-hand.ts'

const ended = z.object({ id: formId, how: z.string().optional(), words: optionalWords(2000) })

/** Where the round has come to its end, or is broken off: what is still to put back, and a word. */
export const show = (deps: Deps) => (req: Request) => {
  return page('technician/rounds/round-end', locals(readOwnRound(deps, req)))
}

export const create = (deps: Deps) => (req: Request) => {
  const { end, visit } = deps.storage.visits.get(String(req.params.visit))
  const form = readForm(ended, req)
  if (end && form.ok && end.id === form.data.id)
    return redirectAfterWrite(deps, req, end.id, after(visit.positionId, visit.id, end.how))
  const round = readOwnRound(deps, req)
  const shown = locals(round)
  const errors = { ...(form.ok ? {} : form.errors), ...unanswered(round, req) }
  if (form.ok && shown.how === 'broken off' && !form.data.words) errors.words = 'Say why it is broken off.'
  if (!form.ok || Object.keys(errors).length > 0)
    return formAgain('technician/rounds/round-end', { ...shown, values: req.body, errors })
  if (form.data.how !== shown.how)
    throw new AppError('conflict', 'The round has moved on since this page was made. Look at it again.')
  deps.storage.visits.end({
    id: form.data.id,
    visitId: visit.id,
    by: person(req).id,
    how: shown.how,
    words: form.data.words ?? '',
    faultId: shown.how === 'fault found' ? idWithin(form.data.id, 'fault') : null,
    restorations: open(round).map((item, n) => ({
      id: idWithin(form.data.id, item.key),
      itemKey: item.key,
      how: req.body[`item${n}`] === 'restored' ? 'restored' : 'never disturbed',
    })),
  })
  return redirectAfterWrite(deps, req, form.data.id, after(visit.positionId, visit.id, shown.how))
}

/** What a fault found on a round is reported with; the technician still says what was noticed and whether protection was lost. */
export function filledFromVisit(deps: Deps, id: unknown, positionId: string): Record<string, string> {
  if (typeof id !== 'string' || !id) return {}
  const { visit, findings, end } = deps.storage.visits.get(id)
  if (!end?.faultId || visit.positionId !== positionId) return {}
  const last = findings.at(-1)
  const lastFinding = last ? foundWords(last) : ''
  return {
    id: end.faultId,
    reportedBy: `found on a round by ${visit.byName}`,
    noticed: [lastFinding && `Found on a round: ${lastFinding}.`, end.words].filter(Boolean).join(' '),
    reportedAt: deps.times.local(end.at),
  }
}

function after(positionId: string, visitId: string, how: HowEnded): string {
  return how === 'fault found'
    ? `/faults/new?${new URLSearchParams({ position: positionId, visit: visitId })}`
    : `/rounds/${visitId}`
}

/** Each thing disturbed wants its answer, the one in the order the page showed. */
function unanswered(round: RoundInHand, req: Request): Record<string, string> {
  const wanting = open(round).flatMap((item, n) => {
    const answered = ['restored', 'never disturbed'].includes(String(req.body[`item${n}`]))
    return answered && req.body[`key${n}`] === item.key
      ? []
      : [[`item${n}`, `Say whether it is back: ${item.item}.`]]
  })
  return Object.fromEntries(wanting)
}

function locals(round: RoundInHand) {
  const { place } = round.walk
  const at = place.kind === 'end' ? place.end : place.kind === 'cause' ? place.cause : null
  const about = place.kind === 'end' ? place.end.about : ''
  return {
    title: at ? at.title : 'Break the round off',
    round,
    values: {},
    how: endsHow(round) ?? ('broken off' as const),
    items: open(round),
    place: placeInRound(round),
    cautions: (at?.cautions ?? []).map(shownCaution),
    about: renderMarkdown(about),
    cause: place.kind === 'cause',
  }
}
