import { z } from 'zod'
import { memo } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import { newId } from '../../../ids.ts'
import { stillDisturbed } from '../../../walk/disturbed.ts'
import { handoverItems, handoverSummary, notInHandover } from '../../../walk/handover.ts'
import type { Handover } from '../../../walk/record.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import {
  entryOf,
  type FaultInHand,
  readFault,
  readHeldFault,
  readOwnFault,
} from '../in-hand/fault-in-hand.ts'
import { narratedEntries } from '../in-hand/narrated-entries.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { beforeStartFields, phraseChoices, withPhrases } from './before-start.ts'

const handingOver = z.object({
  id: formId,
  nextStep: words('Say what should happen next.', 1000),
  words: words('Say what the next person must know.', 3000),
})

const confirming = z.object({ id: formId, key: words('The item is missing.', 200) })

const accepting = memo((deps: Deps) => z.object(beforeStartFields(deps)))

export const add = (deps: Deps) => (req: Request) => {
  return page('technician/attend/handover-new', newLocals(readOwnFault(deps, req)))
}

/** Leaves the fault to the next person: what should happen next first, then what must be confirmed item by item. */
export const create = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const form = readForm(handingOver, req)
  if (!form.ok) return formAgain('technician/attend/handover-new', { ...newLocals(fault), ...form })
  deps.storage.handovers.add({
    ...form.data,
    ...entryOf(fault, req),
    items: handoverItems(fault.knowledge, fault.record),
  })
  return redirectAfterWrite(
    deps,
    req,
    form.data.id,
    `/faults/${fault.record.fault.id}/handovers/${form.data.id}`,
  )
}

export const show = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  return page(
    'technician/attend/handover',
    showLocals(deps, fault, namedHandover(fault, req), person(req).id),
  )
}

/** Whoever wrote it goes on with the fault after all: the handover is void. */
export const withdraw = (deps: Deps) => (req: Request) => {
  const fault = readHeldFault(deps, req)
  const handover = namedHandover(fault, req)
  const form = readForm(z.object({ id: formId }), req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'That could not be read.')
  deps.storage.handovers.withdraw({ ...form.data, handoverId: handover.id, by: person(req).id })
  return redirectAfterWrite(deps, req, form.data.id, `/faults/${fault.record.fault.id}/next`)
}

/** The incoming person confirms one item at a time; never all with one tap. */
export const confirm = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  const handover = namedHandover(fault, req)
  const form = readForm(confirming, req)
  if (!form.ok) throw new AppError('invalid', 'The form does not say which item. Go back and try again.')
  if (handover.by === person(req).id)
    throw new AppError(
      'forbidden',
      'The person who takes over confirms the items, not the one who hands over.',
    )
  deps.storage.handovers.confirm({ ...form.data, handoverId: handover.id, by: person(req).id })
  return redirectAfterWrite(
    deps,
    req,
    form.data.id,
    `/faults/${fault.record.fault.id}/handovers/${handover.id}`,
  )
}

export const accept = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  const handover = namedHandover(fault, req)
  const form = readForm(accepting(deps), withPhrases(req))
  const shown = showLocals(deps, fault, handover, person(req).id)
  if (!form.ok) return formAgain('technician/attend/handover', { ...shown, ...form, values: req.body })
  const { data } = form
  mustNameAll(fault, handover)
  deps.storage.handovers.accept({
    handoverId: handover.id,
    attendance: {
      id: data.id,
      faultId: fault.record.fault.id,
      personId: person(req).id,
      seenHistoryAt: deps.clock().toISOString(),
      spokenTo: data.spokenTo,
      protectionWords: data.protection,
      isolationWords: data.isolation,
      expectedFinish: data.finish,
    },
  })
  return redirectAfterWrite(deps, req, data.id, `/faults/${fault.record.fault.id}/resume`)
}

/** What was disturbed after it was written, nobody has confirmed: throws 'conflict' and names it. */
function mustNameAll(fault: FaultInHand, handover: Handover): void {
  const caution = handover.acceptedAt === null ? cautionOf(fault, handover) : null
  if (caution) throw new AppError('conflict', caution.text)
}

/** What stands disturbed and is in none of the handover's items, in words; null when there is nothing. */
function cautionOf(fault: FaultInHand, handover: Handover): { text: string } | null {
  const unnamed = notInHandover(handover, stillDisturbed(fault.disturbed)).map(({ text }) => text)
  if (unnamed.length === 0) return null
  const text = `This handover does not say all that stands disturbed. ${unnamed.join('. ')}. ${handover.byName} must take the fault back and hand it over anew; or take it over from its own page without a handover.`
  return { text }
}

function namedHandover(fault: FaultInHand, req: Request): Handover {
  const handover = fault.record.handovers.find(one => one.id === req.params.handover)
  if (!handover) throw new AppError('not found', 'There is no such handover of this fault.')
  return handover
}

function newLocals(fault: FaultInHand) {
  return {
    title: 'Hand over',
    fault,
    place: placeInWalk(fault),
    summary: handoverSummary(fault.knowledge, fault.record),
    items: handoverItems(fault.knowledge, fault.record),
    values: {},
  }
}

function showLocals(deps: Deps, fault: FaultInHand, handover: Handover, visitorId: string) {
  return {
    title: 'Taking over',
    fault,
    phrases: phraseChoices(deps),
    place: placeInWalk(fault),
    handover,
    own: handover.by === visitorId,
    waits: fault.handedOver?.id === handover.id,
    unnamed: cautionOf(fault, handover),
    open: handover.items.filter(item => item.confirmedAt === null).length,
    summary: handoverSummary(fault.knowledge, fault.record),
    confirmId: newId,
    narrated: narratedEntries,
    values: {},
  }
}
