import { randomUUID } from 'node:crypto'
import type { Request, Response } from 'express'
import { z } from 'zod'
import { verifyPin } from '../../auth/pins.ts'
import type { Deps } from '../deps.ts'
import { keptForm } from '../kept-form.ts'
import { renderErrors, renderPage } from '../page.ts'
import { readForm, words } from '../read-form.ts'
import { localAddress, startSession, stopSession } from '../visitor.ts'

const signingIn = z.object({
  name: words('Write your name, or choose it from the list.', 80),
  pin: z
    .string({ error: 'Type your PIN.' })
    .min(1, 'Type your PIN.')
    .max(128, 'That is longer than any PIN.'),
  return: z.string().max(500).optional(),
})

export const show = (deps: Deps) => (req: Request, res: Response) => {
  if (deps.storage.people.count() === 0) return res.redirect(303, '/setup')
  renderPage(res, 'people/sign-in', locals(deps, { return: localAddress(req.query.return) }))
}

/** Name and PIN; wrong guesses are slowed down, never locked out. What was being sent is offered again afterwards. */
export const create = (deps: Deps) => async (req: Request, res: Response) => {
  const kept = keptForm(req)
  if (kept && req.body?.again === 'yes')
    return renderPage(res, 'people/sign-in', { ...locals(deps, {}), kept })
  const form = readForm(signingIn, req)
  const again = (errors: Record<string, string>) => {
    renderErrors(res, 'people/sign-in', {
      ...locals(deps, req.body ?? {}),
      kept,
      errors,
      values: { ...req.body, pin: '' },
    })
  }
  if (!form.ok) return again(form.errors)
  const { name, pin } = form.data
  const address = req.ip ?? ''
  const wait = deps.attempts.waitFor(name, address)
  if (wait > 0)
    return again({ pin: `Too many wrong PINs. Wait ${Math.ceil(wait / 1000)} seconds and try again.` })
  const person = deps.storage.people.findByName(name)
  const right = await verifyPin(pin, person?.pinHash ?? null)
  if (!right || !person?.active) {
    deps.attempts.failed(name, address)
    deps.log.warn({ address, requestId: res.locals.requestId }, 'a sign-in failed')
    return again({ pin: 'That name and PIN do not go together. Try again.' })
  }
  deps.attempts.succeeded(name, address)
  startSession(deps, req, res, person.id)
  if (kept)
    return renderPage(res, 'people/send-again', {
      title: 'Send what you had entered',
      kept,
      name: person.name,
    })
  res.redirect(303, localAddress(form.data.return))
}

export const destroy = (deps: Deps) => (req: Request, res: Response) => {
  stopSession(deps, req, res)
  res.redirect(303, '/sign-in')
}

function locals(deps: Deps, values: Record<string, unknown>) {
  return {
    title: 'Sign in',
    people: deps.storage.people.list().filter(person => person.active),
    demo: deps.demoNotice,
    kept: null,
    formId: randomUUID(),
    values,
  }
}
