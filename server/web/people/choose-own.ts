import { z } from 'zod'
import type { Given, Person } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { type Cookie, formAgain, type Page, page, redirect } from '../host/answer.ts'
import { type PendingForm, pendingForm } from '../host/pending-form.ts'
import { type FormErrors, readForm } from '../host/read-form.ts'
import { isEnrolled, localAddress, person, type Request } from '../host/request.ts'
import { personStill, startSession } from '../host/sessions.ts'
import { secretProblems, setSecrets } from './own.ts'
import { offerAgain } from './send-again.ts'

/** The one page for a person whose PIN or password was chosen by somebody else. */
export const choosingOwn = '/me/own'

const choosing = z.object({
  pin: z.string().max(128).optional().default(''),
  password: z.string().max(200).optional().default(''),
  return: z.string().max(500).optional(),
})

type Chosen = z.infer<typeof choosing>

export const show = (deps: Deps) => (req: Request) => {
  const who = person(req)
  if (!who.given) return redirect(localAddress(req.query.return))
  return askToChoose(deps, req, who.given, {
    pending: null,
    values: { return: localAddress(req.query.return) },
  })
}

/**
 * One's own PIN and password in place of those somebody else gave. The old one was typed a moment ago, to sign in, so it
 * is not asked again; every other session ends, and the way goes on to where it was going.
 */
export const update = (deps: Deps) => async (req: Request) => {
  const who = person(req)
  const pending = pendingForm(req)
  const goOn = (to: unknown, cookies: Cookie[] = []) => ({
    ...(pending ? offerAgain(pending, who.name) : redirect(localAddress(to))),
    cookies,
  })
  const { given } = who
  if (!given) return goOn(req.body?.return)
  const form = readForm(choosing, req)
  const again = (errors: FormErrors) => {
    const values = { return: localAddress(req.body?.return) }
    return formAgain('people/choose-own', { ...locals(deps, req, given, pending), errors, values })
  }
  if (!form.ok) return again(form.errors)
  const problems = await problemsOf(deps, form.data, who, isEnrolled(deps, req))
  if (Object.keys(problems).length > 0) return again(problems)
  const hashes = await hashChosen(deps, given, form.data)
  personStill(deps, req)
  setSecrets(deps, who.id, { ...hashes, given: null })
  return goOn(form.data.return, startSession(deps, req, who.id))
}

/** Shows the page; `pending` is a form that is to be sent afterwards. */
export function askToChoose(
  deps: Deps,
  req: Request,
  given: Given,
  { pending, values = {} }: { pending: PendingForm | null; values?: Record<string, unknown> },
): Page {
  return page('people/choose-own', { ...locals(deps, req, given, pending), values })
}

/** On the depot's own tablet a password is not needed to go on: left empty, the given one is taken away. */
async function problemsOf(
  deps: Deps,
  chosen: Chosen,
  { name, given, pinHash, passwordHash }: Person,
  onTablet: boolean,
): Promise<FormErrors> {
  const problems: FormErrors = { ...secretProblems(deps, chosen, name) }
  if (asksFor('PIN', given)) {
    if (!chosen.pin) problems.pin = 'Choose a PIN that only you know.'
    else if (await deps.secrets.verify(chosen.pin, pinHash)) problems.pin = theSame
  }
  if (asksFor('password', given)) {
    if (!chosen.password && !onTablet)
      problems.password = 'Choose a password that only you know: a PIN does not work on this browser.'
    else if (chosen.password && (await deps.secrets.verify(chosen.password, passwordHash)))
      problems.password = theSame
  }
  return problems
}

const theSame = 'That is the one you were given, and whoever gave it knows it. Choose another.'

/** A given password that is left empty is taken away. */
async function hashChosen(deps: Deps, given: Given, { pin, password }: Chosen) {
  const pinHash = asksFor('PIN', given) ? await deps.secrets.hash(pin) : undefined
  if (!asksFor('password', given)) return { pinHash, passwordHash: undefined }
  return { pinHash, passwordHash: password ? await deps.secrets.hash(password) : null }
}

const asksFor = (secret: 'PIN' | 'password', given: Given | null) => given?.includes(secret) ?? false

function locals(deps: Deps, req: Request, given: Given, pending: PendingForm | null) {
  return {
    title: `Choose your own ${given}`,
    given,
    asksPin: asksFor('PIN', given),
    asksPassword: asksFor('password', given),
    enrolled: isEnrolled(deps, req),
    pending,
  }
}
