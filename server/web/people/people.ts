import { z } from 'zod'
import { slowedDown } from '../../auth/attempts.ts'
import { roles } from '../../auth/roles.ts'
import { AppError } from '../../errors.ts'
import type { Given, Person } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { formAgain, page, redirect } from '../host/answer.ts'
import { type FormErrors, formId, name, oneOf, readForm } from '../host/read-form.ts'
import { person, type Request } from '../host/request.ts'
import { personStill } from '../host/sessions.ts'
import { checkSecret } from './check-secret.ts'
import { hashSecrets, secretProblems, setSecrets } from './own.ts'
import { slowDownRows } from './people-rows.ts'

const newPerson = z.object({
  id: formId,
  name: name('Write the name as it should stand in records.', 80),
  role: oneOf(roles, 'Choose a role.'),
  pin: z.string({ error: 'Give a first PIN.' }).min(1, 'Give a first PIN.').max(128),
  password: z.string().max(200).optional().default(''),
  now: z.string().max(128).optional().default(''),
})

const change = z.object({
  now: z.string().max(128).optional().default(''),
  pin: z.string().max(128).optional().default(''),
  password: z.string().max(200).optional().default(''),
  role: z.enum(roles).optional(),
  active: z.enum(['yes', 'no']).optional(),
})

export const index = (deps: Deps) => () => {
  return page('people/people', locals(deps))
}

export const create = (deps: Deps) => async (req: Request) => {
  const form = readForm(newPerson, req)
  const again = (errors: FormErrors) => {
    const values = { ...req.body, pin: '', password: '', now: '' }
    return formAgain('people/people', { ...locals(deps), errors, values })
  }
  if (!form.ok) return again(form.errors)
  const { id, name, role, pin, password } = form.data
  const problems = secretProblems(deps, form.data, name)
  if (Object.keys(problems).length > 0) return again(problems)
  const namesake = deps.storage.people.findByName(name)
  if (namesake && namesake.id !== id) return again({ name: 'There is a person of that name already.' })
  if (namesake) return redirect('/people')
  const wrong = await notEngineer(deps, req, form.data.now)
  if (wrong) return again({ now: wrong })
  const passwordHash = password ? await deps.secrets.hash(password) : null
  const pinHash = await deps.secrets.hash(pin)
  personStill(deps, req, 'manage people')
  deps.storage.people.create({ id, name, role, pinHash, passwordHash, given: givenTo(null, form.data) })
  return redirect('/people')
}

/**
 * A new PIN, password or role, or an end to somebody's access; each ends the person's sessions everywhere. All that could
 * let somebody in is done on the engineer's own PIN or password; access is ended at once.
 */
export const update = (deps: Deps) => async (req: Request) => {
  const who = namedPerson(deps, req)
  const form = readForm(change, req)
  if (!form.ok) throw new AppError('invalid', 'The form arrived damaged. Go back and send it again.')
  const { active, role } = form.data
  if (who.id === person(req).id && (active === 'no' || (role && role !== who.role)))
    throw new AppError(
      'invalid',
      'You can’t end your own access or change your own role. Ask another engineer.',
    )
  const [problem] = Object.values(secretProblems(deps, form.data, who.name))
  if (problem) throw new AppError('invalid', problem)
  if (letsIn(form.data)) await mustBeEngineer(deps, req, form.data.now)
  const hashes = await hashSecrets(deps, form.data)
  const engineer = personStill(deps, req, 'manage people')
  const given = who.id === engineer.id ? undefined : givenTo(namedPerson(deps, req).given, form.data)
  setSecrets(deps, who.id, { role, active: active ? active === 'yes' : undefined, ...hashes, given })
  return redirect('/people')
}

/** Lets a person whose PIN was typed wrong too often try again at once. */
export const release = (deps: Deps) => (req: Request) => {
  const who = namedPerson(deps, req)
  deps.attempts.release(who.name)
  deps.storage.trail.happened({ subject: 'wait released', key: who.name, words: {} })
  return redirect('/people')
}

/** Ends every session of a person, who keeps access and may sign in again. */
export const signOut = (deps: Deps) => (req: Request) => {
  deps.storage.sessions.endAllOf(namedPerson(deps, req).id)
  return redirect('/people')
}

const letsIn = ({ pin, password, role, active }: z.infer<typeof change>) =>
  pin !== '' || password !== '' || role !== undefined || active === 'yes'

async function mustBeEngineer(deps: Deps, req: Request, secret: string): Promise<void> {
  const wrong = await notEngineer(deps, req, secret)
  if (wrong) throw new AppError('invalid', `Nothing was changed. ${wrong}`)
}

/** What is wrong with the engineer's own PIN or password: a page left open must not be enough to take a name. */
async function notEngineer(deps: Deps, req: Request, secret: string): Promise<string | null> {
  if (!secret) return 'Type your own PIN or password as well.'
  const checked = await checkSecret(deps, req, person(req).name, secret)
  return 'wrong' in checked ? checked.wrong : null
}

/** What the person is to change, when this is set for them as well. */
function givenTo(before: Given | null, set: { pin: string; password: string }): Given | null {
  const pin = set.pin || before?.includes('PIN')
  const password = set.password || before?.includes('password')
  if (pin && password) return 'PIN and password'
  return pin ? 'PIN' : password ? 'password' : null
}

function namedPerson(deps: Deps, req: Request): Person {
  const who = deps.storage.people.find(String(req.params.person))
  if (!who) throw new AppError('not found', 'There is no such person.')
  return who
}

function locals(deps: Deps) {
  const weekAgo = new Date(deps.clock().getTime() - 7 * 86_400_000).toISOString()
  return {
    title: 'People',
    desk: true,
    people: deps.storage.people.list(),
    slowDowns: slowDownRows(deps.storage.trail.listHappened(slowedDown, weekAgo)),
    tablets: deps.storage.tablets.list().filter(tablet => tablet.revokedAt === null).length,
    roles: roles.map(role => ({ value: role, label: role })),
    newPersonId: crypto.randomUUID(),
    values: {},
  }
}
