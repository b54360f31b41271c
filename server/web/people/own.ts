import { z } from 'zod'
import { pinProblem } from '../../auth/secrets.ts'
import type { Deps } from '../deps.ts'
import { formAgain, page } from '../host/answer.ts'
import { type FormErrors, readForm } from '../host/read-form.ts'
import { person, type Request } from '../host/request.ts'
import { personStill, startSession } from '../host/sessions.ts'
import { checkSecret } from './check-secret.ts'
import { ownPage } from './signed-in.ts'

const change = z.object({
  now: z.string().max(128).optional().default(''),
  pin: z.string().max(128).optional().default(''),
  password: z.string().max(200).optional().default(''),
})

export const show = (deps: Deps) => (req: Request) => {
  return page('people/own', ownPage(deps, req))
}

/** One's own new PIN or password, on the old one's word; every other session of the person ends. */
export const update = (deps: Deps) => async (req: Request) => {
  const who = person(req)
  const form = readForm(change, req)
  const again = (errors: FormErrors) => formAgain('people/own', { ...ownPage(deps, req), errors })
  if (!form.ok) return again(form.errors)
  const errors = problemsOf(deps, form.data, who.name)
  if (Object.keys(errors).length > 0) return again(errors)
  const checked = await checkSecret(deps, req, who.name, form.data.now)
  if ('wrong' in checked) return again({ now: checked.wrong })
  const hashes = await hashSecrets(deps, form.data)
  personStill(deps, req)
  setSecrets(deps, who.id, hashes)
  const locals = { ...ownPage(deps, req), changed: true }
  return page('people/own', locals, { cookies: startSession(deps, req, who.id) })
}

/** undefined for what is left as it is. */
export interface Hashes {
  pinHash: string | undefined
  passwordHash: string | undefined
}

/** The hashes of what is filled in. Whoever has waited for them looks again whether the visitor still may. */
export async function hashSecrets(
  { secrets }: Deps,
  filled: { pin: string; password: string },
): Promise<Hashes> {
  return {
    pinHash: filled.pin ? await secrets.hash(filled.pin) : undefined,
    passwordHash: filled.password ? await secrets.hash(filled.password) : undefined,
  }
}

/** Changes a person and ends their sessions everywhere. `given`: what of it the person did not choose. */
export function setSecrets(
  deps: Deps,
  id: string,
  change: Parameters<Deps['storage']['people']['update']>[1],
): void {
  deps.storage.transaction(() => {
    deps.storage.people.update(id, change)
    deps.storage.sessions.endAllOf(id)
  })
}

/** What is wrong with a new PIN and password, by field; an empty field is left as it is. */
export function secretProblems(
  { secrets }: Pick<Deps, 'secrets'>,
  given: { pin: string; password: string },
  name: string,
): FormErrors {
  const pin = given.pin ? pinProblem(given.pin) : null
  const password = given.password ? secrets.passwordProblem(given.password, name) : null
  return { ...(pin && { pin }), ...(password && { password }) }
}

function problemsOf(
  deps: Pick<Deps, 'secrets'>,
  given: { pin: string; password: string },
  name: string,
): FormErrors {
  if (!given.pin && !given.password) return { pin: 'Type a new PIN, a new password or both.' }
  return secretProblems(deps, given, name)
}
