import { z } from 'zod'
import { hashToken } from '../../auth/tokens.ts'
import { AppError } from '../../errors.ts'
import type { Deps } from '../deps.ts'
import { formAgain, page, redirect } from '../host/answer.ts'
import { name, readForm, words } from '../host/read-form.ts'
import type { Request } from '../host/request.ts'
import { startSession } from '../host/sessions.ts'
import { secretProblems } from './own.ts'

const firstAccount = z.object({
  code: words('Type the setup code that the program printed when it started.', 100),
  name: name('Write the engineer’s name.', 80),
  password: z.string({ error: 'Choose a password.' }).min(1, 'Choose a password.').max(200),
  pin: z.string({ error: 'Choose a PIN.' }).min(1, 'Choose a PIN.').max(128),
})

export const show = (deps: Deps) => () => {
  if (deps.storage.people.count() > 0)
    throw new AppError('not found', 'The first account has been made. Sign in.')
  return page('people/setup', { title: 'The first account' })
}

/** Makes the first engineer's account with the one-time code. */
export const create = (deps: Deps) => async (req: Request) => {
  if (deps.storage.people.count() > 0)
    throw new AppError('conflict', 'The first account has been made. Sign in.')
  const form = readForm(firstAccount, req)
  const again = (errors: Record<string, string>) =>
    formAgain('people/setup', {
      title: 'The first account',
      errors,
      values: { ...req.body, pin: '', password: '' },
    })
  if (!form.ok) return again(form.errors)
  const problems = secretProblems(deps, form.data, form.data.name)
  if (Object.keys(problems).length > 0) return again(problems)
  const codeHash = hashToken(form.data.code.replace(/[\s-]/g, '').toLowerCase())
  const wait = deps.attempts.waitFor('setup', req.ip)
  if (wait > 0)
    return again({ code: `Too many wrong codes. Wait ${Math.ceil(wait / 1000)} seconds and try again.` })
  const [pinHash, passwordHash] = await Promise.all([
    deps.secrets.hash(form.data.pin),
    deps.secrets.hash(form.data.password),
  ])
  const id = crypto.randomUUID()
  const made = deps.storage.transaction(() => {
    if (deps.storage.people.count() > 0 || !deps.storage.setupCodes.use(codeHash)) return false
    deps.storage.people.create({ id, name: form.data.name, role: 'engineer', pinHash, passwordHash })
    return true
  })
  if (!made) {
    deps.attempts.failed('setup', req.ip)
    return again({ code: 'That is not the setup code, or it was used already.' })
  }
  return redirect('/tablets', { cookies: startSession(deps, req, id) })
}
