import { may } from '../../auth/roles.ts'
import { AppError } from '../../errors.ts'
import { type Actor, actAs, actAsThroughout } from '../../storage/engine/acting.ts'
import type { Given } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { askToChoose, choosingOwn } from '../people/choose-own.ts'
import { typedFields } from '../people/typed-fields.ts'
import { type Answer, page, redirect } from './answer.ts'
import { holdForm } from './pending-form.ts'
import type { Request } from './request.ts'
import type { Route } from './route.ts'
import { answerToRepeat, identifiedForm, recordSent } from './sent-once.ts'

/**
 * The answers of one route, in whatever host: a visitor without the right is refused, what is written is recorded as the
 * visitor's, and what technicians write shares a commit. Throws AppError for what is the visitor's business.
 */
export function answering(deps: Deps, route: Route): (req: Request) => Answer | Promise<Answer> {
  const handle = recordingActor(sentOnce(deps, route.handler(deps)))
  const answer = route.may === 'attend faults' ? withSharedCommit(deps, handle) : handle
  return req => refusal(deps, route, req) ?? answer(req)
}

type Handle = (req: Request) => Answer | Promise<Answer>

/**
 * Null for a visitor with the right. Before anything else a PIN or password that somebody else chose is changed. A form
 * that arrives signed out, or before that, waits and is offered again afterwards.
 */
function refusal(deps: Deps, route: Route, req: Request): Answer | null {
  if (route.may === 'anyone') return null
  const who = req.visitor.person
  if (!who) return askToSignIn(req)
  if (who.given && route.path !== choosingOwn) return sendToChoose(deps, req, who.given)
  if (route.may === 'signed in' || may(who.role, route.may)) return null
  throw new AppError(
    'forbidden',
    `This is not for the role “${who.role}”. Change user if you have another role here.`,
  )
}

function sendToChoose(deps: Deps, req: Request, given: Given): Answer {
  if (req.method === 'GET') return redirect(`${choosingOwn}?return=${encodeURIComponent(req.address)}`)
  return { ...askToChoose(deps, req, given, { pending: holdForm(req) }), status: 403 }
}

function askToSignIn(req: Request): Answer {
  if (req.method === 'GET') return redirect(`/sign-in?return=${encodeURIComponent(req.address)}`)
  const pending = holdForm(req)
  const locals = { title: 'Sign in to send this', pending, typed: typedFields(pending) }
  return page('people/sign-in-again', locals, { status: 401 })
}

/** What a handler writes is on record as the visitor's. */
function recordingActor(handle: Handle): Handle {
  if (isAsync(handle)) return req => actAsThroughout(actorOf(req), async () => handle(req))
  return req => {
    const answer = actAs(actorOf(req), () => handle(req))
    if (answer instanceof Promise)
      throw new Error('A handler that waits must be async: who wrote would be lost')
    return answer
  }
}

/**
 * A form that was recorded is not handed on again. What a handler writes at once is recorded together with the form, or
 * not at all; one that waits for something is followed by its form.
 */
function sentOnce(deps: Deps, handle: Handle): Handle {
  if (isAsync(handle)) {
    return async req => {
      const form = identifiedForm(req)
      const repeated = form && answerToRepeat(deps, req, form)
      if (repeated) return repeated
      const answer = await handle(req)
      if (form) recordSent(deps, form, answer)
      return answer
    }
  }
  return req => {
    const form = identifiedForm(req)
    if (!form) return handle(req)
    return deps.storage.transaction(() => {
      const repeated = answerToRepeat(deps, req, form)
      if (repeated) return repeated
      const answer = handle(req)
      if (!(answer instanceof Promise)) recordSent(deps, form, answer)
      return answer
    })
  }
}

/** Whether a handler waits for something: it is declared `async`, and what it writes is recorded as it goes. */
export const isAsync = (handle: Handle) => handle.constructor.name === 'AsyncFunction'

/** Who the trail names. */
function actorOf({ visitor: { person, tablet }, doneAt, late }: Request): Actor {
  const who = { personId: person?.id ?? null, tabletId: tablet?.id ?? null }
  return doneAt === undefined ? who : { ...who, doneAt, ...(late && { late }) }
}

/** Technicians record all at once, and do nothing with it but answer. */
function withSharedCommit({ storage: { commits } }: Deps, handle: Handle): Handle {
  return req => commits.share(() => handle(req))
}
