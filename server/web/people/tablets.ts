import { z } from 'zod'
import { hashToken, newToken } from '../../auth/tokens.ts'
import type { Deps } from '../deps.ts'
import { formAgain, page, redirect } from '../host/answer.ts'
import { formId, name, readForm } from '../host/read-form.ts'
import { person, type Request } from '../host/request.ts'
import { enrolHere } from '../host/sessions.ts'
import { clockWords } from './people-rows.ts'

const enrolment = z.object({
  id: formId,
  name: name('Give the tablet a name, as it is marked on its back.', 60),
})

/** The depot's tablets; the one in hand can be enrolled. */
export const index = (deps: Deps) => (req: Request) => {
  return page('people/tablets', locals(deps, req))
}

/** Enrols the tablet in hand: from now on a PIN works on it. */
export const create = (deps: Deps) => (req: Request) => {
  const form = readForm(enrolment, req)
  if (!form.ok) return formAgain('people/tablets', { ...locals(deps, req), ...form })
  const { id, name } = form.data
  if (
    deps.storage.tablets.list().some(one => one.id !== id && one.name.toLowerCase() === name.toLowerCase())
  ) {
    const errors = { name: 'There is a tablet of that name already, or there was one.' }
    return formAgain('people/tablets', { ...locals(deps, req), errors, values: req.body })
  }
  const token = newToken()
  const { repeated } = deps.storage.tablets.create({
    id,
    name,
    enrolledBy: person(req).id,
    tokenHash: hashToken(token),
  })
  return redirect('/tablets', { cookies: repeated ? [] : [enrolHere(token)] })
}

/** A lost tablet: the person signed in on it is signed out at once, and no PIN works on it any more. */
export const revoke = (deps: Deps) => (req: Request) => {
  deps.storage.tablets.revoke(String(req.params.tablet), person(req).id)
  return redirect('/tablets')
}

function locals(deps: Deps, req: Request) {
  return {
    title: 'Tablets',
    desk: true,
    back: { href: '/people', text: 'People' },
    tablets: deps.storage.tablets.list().map(one => ({ ...one, clock: clockWords(one.clockAheadMs) })),
    here: req.visitor.tablet,
    newTabletId: crypto.randomUUID(),
    values: {},
  }
}
