import { randomUUID } from 'node:crypto'
import type { Request, Response } from 'express'
import { z } from 'zod'
import type { Deps } from '../deps.ts'
import { keptForm } from '../host/kept-form.ts'
import { renderErrors, renderPage } from '../host/page.ts'
import { readForm, words } from '../host/read-form.ts'
import {
  isEnrolled,
  lastHere,
  localAddress,
  rememberHere,
  startSession,
  stopSession,
} from '../host/visitor.ts'
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

export const show = (deps: Deps) => (req: Request, res: Response) => {
  if (deps.storage.people.count() === 0) return res.redirect(303, '/setup')
  const values = { return: localAddress(req.query.return), name: lastHere(deps, req, res) }
  renderPage(res, 'people/sign-in', { ...locals(deps, res, values), covered: req.query.covered === 'yes' })
}

/**
 * Name and PIN on an enrolled tablet, name and password elsewhere; wrong guesses are slowed down, never locked out. What
 * was being sent is offered again afterwards.
 */
export const create = (deps: Deps) => async (req: Request, res: Response) => {
  const kept = keptForm(req)
  if (kept && req.body?.again === 'yes')
    return renderPage(res, 'people/sign-in', {
      ...locals(deps, res, { name: lastHere(deps, req, res) }),
      kept,
    })
  const form = readForm(signingIn, req)
  const again = (errors: Record<string, string>) => {
    const values = { ...req.body, pin: '' }
    renderErrors(res, 'people/sign-in', { ...locals(deps, res, values), kept, errors, values })
  }
  if (!form.ok) return again(form.errors)
  const checked = await checkSecret(deps, req, res, form.data.name, form.data.pin)
  if ('wrong' in checked) return again({ pin: checked.wrong })
  const { person } = checked
  startSession(deps, req, res, person.id)
  rememberHere(deps, res, person)
  if (kept && person.given) return askToChoose(deps, res, person.given, { kept })
  if (kept) return offerAgain(res, kept, person.name)
  res.redirect(303, localAddress(form.data.return))
}

export const destroy = (deps: Deps) => (req: Request, res: Response) => {
  stopSession(deps, req, res)
  res.setHeader('Clear-Site-Data', '"cache"') // so that Back shows nothing; what waits to be sent stays
  res.redirect(303, '/sign-in')
}

/** Left alone, the tablet covers itself: the session ends, and the PIN leads back to the same page with its draft. */
export const cover = (deps: Deps) => (req: Request, res: Response) => {
  stopSession(deps, req, res)
  const back = `/sign-in?covered=yes&return=${encodeURIComponent(localAddress(req.body?.return))}`
  if (req.accepts(['html', 'json']) === 'json') res.json({ next: back })
  else res.redirect(303, back)
}

function locals(deps: Deps, res: Response, values: Record<string, unknown>) {
  const enrolled = isEnrolled(deps, res)
  return {
    title: 'Sign in',
    // Who works here is shown on the depot's own tablets only.
    people: enrolled ? nameChoices(deps.storage.people.list().filter(person => person.active)) : [],
    enrolled,
    covered: false,
    demo: deps.demoNotice,
    kept: null,
    formId: randomUUID(),
    values,
  }
}
