import { randomUUID } from 'node:crypto'
import type { Request, Response } from 'express'
import { z } from 'zod'
import { hashToken, newToken } from '../../auth/tokens.ts'
import type { Deps } from '../deps.ts'
import { renderErrors, renderPage } from '../host/page.ts'
import { formId, readForm, words } from '../host/read-form.ts'
import { enrolHere, person, tablet } from '../host/visitor.ts'
import { clockWords } from './people-rows.ts'

const enrolment = z.object({
  id: formId,
  name: words('Give the tablet a name, as it is marked on its back.', 60),
})

/** The depot's tablets; the one in hand can be enrolled. */
export const index = (deps: Deps) => (_req: Request, res: Response) => {
  renderPage(res, 'people/tablets', locals(deps, res))
}

/** Enrols the tablet in hand: from now on a PIN works on it. */
export const create = (deps: Deps) => (req: Request, res: Response) => {
  const form = readForm(enrolment, req)
  if (!form.ok) return renderErrors(res, 'people/tablets', { ...locals(deps, res), ...form })
  const { id, name } = form.data
  if (
    deps.storage.tablets.list().some(one => one.id !== id && one.name.toLowerCase() === name.toLowerCase())
  ) {
    const errors = { name: 'There is a tablet of that name already, or there was one.' }
    return renderErrors(res, 'people/tablets', { ...locals(deps, res), errors, values: req.body })
  }
  const token = newToken()
  const { repeated } = deps.storage.tablets.create({
    ...{ id, name, enrolledBy: person(res).id },
    tokenHash: hashToken(token),
  })
  if (!repeated) enrolHere(deps, res, token)
  res.redirect(303, '/tablets')
}

/** A lost tablet: whoever is signed in on it is signed out at once, and no PIN works on it any more. */
export const revoke = (deps: Deps) => (req: Request, res: Response) => {
  deps.storage.tablets.revoke(String(req.params.tablet), person(res).id)
  res.redirect(303, '/tablets')
}

function locals(deps: Deps, res: Response) {
  return {
    title: 'Tablets',
    desk: true,
    back: { href: '/people', text: 'People' },
    tablets: deps.storage.tablets.list().map(one => ({ ...one, clock: clockWords(one.clockAheadMs) })),
    here: tablet(res),
    newTabletId: randomUUID(),
    values: {},
  }
}
