import { randomUUID } from 'node:crypto'
import type { Request, Response } from 'express'
import { z } from 'zod'
import { hashPin, pinProblem } from '../../auth/pins.ts'
import { roles } from '../../auth/roles.ts'
import { AppError } from '../../errors.ts'
import type { Deps } from '../deps.ts'
import { renderErrors, renderPage } from '../page.ts'
import { formId, oneOf, readForm, words } from '../read-form.ts'
import { person } from '../visitor.ts'

const newPerson = z.object({
  id: formId,
  name: words('Write the name as it should stand in records.', 80),
  role: oneOf(roles, 'Choose a role.'),
  pin: z.string({ error: 'Give a first PIN.' }).max(128),
})

const change = z.object({
  pin: z.string().max(128).optional().default(''),
  active: z.enum(['yes', 'no']).optional(),
})

export const index = (deps: Deps) => (_req: Request, res: Response) => {
  renderPage(res, 'people/people', locals(deps))
}

export const create = (deps: Deps) => async (req: Request, res: Response) => {
  const form = readForm(newPerson, req)
  const again = (errors: Record<string, string>) =>
    renderErrors(res, 'people/people', { ...locals(deps), errors, values: { ...req.body, pin: '' } })
  if (!form.ok) return again(form.errors)
  const problem = pinProblem(form.data.pin)
  if (problem) return again({ pin: problem })
  const known = deps.storage.people.findByName(form.data.name)
  if (known && known.id !== form.data.id) return again({ name: 'There is a person of that name already.' })
  if (known) return res.redirect(303, '/people')
  const { id, name, role } = form.data
  deps.storage.people.create({ id, name, role, pinHash: await hashPin(form.data.pin) })
  res.redirect(303, '/people')
}

/** A new PIN, or an end to somebody's access; either ends the person's sessions everywhere. */
export const update = (deps: Deps) => async (req: Request, res: Response) => {
  const who = deps.storage.people.find(String(req.params.person))
  if (!who) throw new AppError('not found', 'There is no such person.')
  const form = readForm(change, req)
  if (!form.ok) throw new AppError('invalid', 'The form arrived damaged. Go back and send it again.')
  const { pin, active } = form.data
  if (active === 'no' && who.id === person(res).id)
    throw new AppError('invalid', 'You can’t end your own access.')
  const problem = pin ? pinProblem(pin) : null
  if (problem) throw new AppError('invalid', problem)
  deps.storage.people.update(who.id, {
    pinHash: pin ? await hashPin(pin) : undefined,
    active: active ? active === 'yes' : undefined,
  })
  deps.storage.sessions.endAllOf(who.id)
  res.redirect(303, '/people')
}

function locals(deps: Deps) {
  return {
    title: 'People',
    desk: true,
    people: deps.storage.people.list(),
    roles,
    newPersonId: randomUUID(),
    values: {},
  }
}
