import { z } from 'zod'
import type { Deps } from '../deps.ts'
import { formAgain, json, page, redirect } from '../host/answer.ts'
import { pendingForm } from '../host/pending-form.ts'
import { readForm, words } from '../host/read-form.ts'
import { isEnrolled, localAddress, type Request } from '../host/request.ts'
import { lastHere, rememberHere, startSession, stopSession } from '../host/sessions.ts'
import { checkSecret } from './check-secret.ts'
import { askToChoose } from './choose-own.ts'
import { nameChoices } from './people-rows.ts'
import { offerAgain } from './send-again.ts'

const signingIn = z.object({
  name: words('Write your name, or choose it from the list.', 80),
  pin: z
    .string({ error: 'Type your PIN or password.' })
    .min(1, 'Type your PIN or password.')
    .max(128, 'That is longer than any password.'),
  return: z.string().max(500).optional(),
})

export const show = (deps: Deps) => (req: Request) => {
  if (deps.storage.people.count() === 0) return redirect('/setup')
  const values = { return: localAddress(req.query.return), name: lastHere(deps, req) }
  return page('people/sign-in', { ...locals(deps, req, values), covered: req.query.covered === 'yes' })
}

/**
 * Name and PIN on an enrolled tablet, name and password elsewhere; wrong guesses are slowed down, never locked out. What
 * was being sent is offered again afterwards.
 */
export const create = (deps: Deps) => async (req: Request) => {
  const pending = pendingForm(req)
  if (pending && req.body?.again === 'yes')
    return page('people/sign-in', {
      ...locals(deps, req, { name: lastHere(deps, req) }),
      pending,
    })
  const form = readForm(signingIn, req)
  const again = (errors: Record<string, string>) => {
    const values = { ...req.body, pin: '' }
    return formAgain('people/sign-in', { ...locals(deps, req, values), pending, errors, values })
  }
  if (!form.ok) return again(form.errors)
  const checked = await checkSecret(deps, req, form.data.name, form.data.pin)
  if ('wrong' in checked) return again({ pin: checked.wrong })
  const { person } = checked
  const cookies = [...startSession(deps, req, person.id), ...rememberHere(deps, req, person)]
  if (pending && person.given) return { ...askToChoose(deps, req, person.given, { pending }), cookies }
  if (pending) return { ...offerAgain(pending, person.name), cookies }
  return redirect(localAddress(form.data.return), { cookies })
}

export const destroy = (deps: Deps) => (req: Request) => {
  // So that Back shows nothing; what waits to be sent stays.
  const headers = { 'Clear-Site-Data': '"cache"' }
  return redirect('/sign-in', { cookies: stopSession(deps, req), headers })
}

/** Left alone, the tablet covers itself: the session ends, and the PIN leads back to the same page with its draft. */
export const cover = (deps: Deps) => (req: Request) => {
  const cookies = stopSession(deps, req)
  const back = `/sign-in?covered=yes&return=${encodeURIComponent(localAddress(req.body.return))}`
  return req.wantsJson ? { ...json({ next: back }), cookies } : redirect(back, { cookies })
}

function locals(deps: Deps, req: Request, values: Record<string, unknown>) {
  const enrolled = isEnrolled(deps, req)
  return {
    title: 'Sign in',
    // Who works here is shown on the depot's own tablets only.
    people: enrolled ? nameChoices(deps.storage.people.list().filter(person => person.active)) : [],
    enrolled,
    covered: false,
    demo: deps.lookOnly ? null : deps.demoNotice,
    pending: null,
    formId: crypto.randomUUID(),
    values,
  }
}
