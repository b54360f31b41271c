import { z } from 'zod'
import { hashToken } from '../../auth/tokens.ts'
import { AppError } from '../../errors.ts'
import { letInBySetupCode } from '../../storage/people/let-in.ts'
import type { Deps } from '../deps.ts'
import { formAgain, page, redirect } from '../host/answer.ts'
import { type FormErrors, name, readForm, words } from '../host/read-form.ts'
import type { Request } from '../host/request.ts'
import { startSession } from '../host/sessions.ts'
import { originOf } from './check-secret.ts'
import { secretProblems } from './own.ts'

const engineersAccount = z.object({
  code: words('Type the setup code that the program printed when it started.', 100),
  name: name('Write the engineer’s name.', 80),
  password: z.string({ error: 'Choose a password.' }).min(1, 'Choose a password.').max(200),
  pin: z.string({ error: 'Choose a PIN.' }).min(1, 'Choose a PIN.').max(128),
})

export const show = (deps: Deps) => () => {
  if (!codesOpen(deps)) throw new AppError('not found', closed)
  return page('people/setup', locals(deps))
}

/**
 * Makes the first engineer's account with the one-time code. With a code that was made on the machine later, an account
 * for another engineer, or anew the PIN and password of one there is.
 */
export const create = (deps: Deps) => async (req: Request) => {
  if (!codesOpen(deps)) throw new AppError('conflict', closed)
  const form = readForm(engineersAccount, req)
  const again = (errors: FormErrors) =>
    formAgain('people/setup', { ...locals(deps), errors, values: { ...req.body, pin: '', password: '' } })
  if (!form.ok) return again(form.errors)
  const problems = secretProblems(deps, form.data, form.data.name)
  if (Object.keys(problems).length > 0) return again(problems)
  const codeHash = hashToken(form.data.code.replace(/[\s-]/g, '').toLowerCase())
  const wrong = wrongCode(deps, req, codeHash)
  if (wrong) return again({ code: wrong })
  const [pinHash, passwordHash] = await Promise.all([
    deps.secrets.hash(form.data.pin),
    deps.secrets.hash(form.data.password),
  ])
  const made = deps.storage.transaction(() => {
    // Once more: another may have used it while the hashes were worked out.
    if (!isOpen(deps, codeHash)) return { error: { code: usedCode } }
    return makeEngineer(deps, codeHash, { name: form.data.name, pinHash, passwordHash })
  })
  if ('error' in made) return again(made.error)
  return redirect('/first-steps', { cookies: startSession(deps, req, made.id) })
}

const closed = 'The first account has been made. Sign in.'
const usedCode = 'That is not the setup code, or it was used already.'

/** Whether a code may be typed at all: before the first account, and after one was made on the machine. */
function codesOpen({ storage }: Deps): boolean {
  return storage.people.count() === 0 || storage.setupCodes.isRescueOpen()
}

function isOpen({ storage }: Deps, codeHash: string): boolean {
  if (storage.people.count() > 0) return storage.setupCodes.isRescueOpen(codeHash)
  return storage.setupCodes.isOpen(codeHash)
}

/** In words, what is wrong with the code; wrong ones are slowed down, and no hash is worked out for them. */
function wrongCode(deps: Deps, req: Request, codeHash: string): string | null {
  const origin = originOf(req)
  const wait = deps.attempts.waitFor('setup', origin)
  if (wait > 0) return `Too many wrong codes. Wait ${Math.ceil(wait / 1000)} seconds and try again.`
  if (isOpen(deps, codeHash)) {
    deps.attempts.succeeded('setup', origin)
    return null
  }
  deps.attempts.failed('setup', origin)
  return usedCode
}

type Made = { id: string } | { error: FormErrors }

function makeEngineer(
  { storage }: Deps,
  codeHash: string,
  account: { name: string; pinHash: string; passwordHash: string },
): Made {
  const known = storage.people.findByName(account.name)
  if (known && known.role !== 'engineer')
    return {
      error: { name: 'Somebody who is no engineer has that name. Write an engineer’s, or a new one.' },
    }
  storage.setupCodes.use(codeHash)
  if (!known) {
    const id = crypto.randomUUID()
    storage.people.create({ ...account, id, role: 'engineer' })
    return letIn(storage, id)
  }
  const { pinHash, passwordHash } = account
  storage.people.update(known.id, { pinHash, passwordHash, given: null, active: true })
  storage.sessions.endAllOf(known.id)
  return letIn(storage, known.id)
}

/** From now on this account rests on nobody's word but that of whoever looks after the machine. */
function letIn(storage: Deps['storage'], id: string): { id: string } {
  storage.trail.happened({ subject: letInBySetupCode, key: id, words: {} })
  return { id }
}

function locals({ storage }: Deps) {
  const rescue = storage.people.count() > 0
  return { title: rescue ? 'An engineer’s account' : 'The first account', rescue, values: {} }
}
