import { networkOf } from '../../auth/address.ts'
import { type Origin, slowedDown } from '../../auth/attempts.ts'
import { hashFor } from '../../auth/secrets.ts'
import { AppError } from '../../errors.ts'
import { actAs } from '../../storage/engine/acting.ts'
import type { Person } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { isEnrolled, type Request } from '../host/request.ts'

export type Checked = { person: Person } | { wrong: string }

/**
 * Whether the PIN (on an enrolled tablet) or the password is this person's. Wrong guesses are slowed down wherever they
 * are typed, and a slow-down is written into the trail for the engineer.
 */
export async function checkSecret(deps: Deps, req: Request, name: string, secret: string): Promise<Checked> {
  const address = req.ip
  const origin = originOf(req)
  const wait = deps.attempts.waitFor(name, origin)
  if (wait > 0)
    return { wrong: `Too many wrong tries. Wait ${Math.ceil(wait / 1000)} seconds and try again.` }
  const read = () => {
    const person = deps.storage.people.findByName(name)
    return { person, hashed: hashFor(secret, person, isEnrolled(deps, req)) }
  }
  const { hashed } = read()
  const right = await verifyInTurn(deps, { secret, hashed, name, origin })
  if (typeof right === 'string') return { wrong: right }
  const anew = right && hashed && deps.secrets.isOutdated(hashed) ? await deps.secrets.hash(secret) : null
  // Read again: while the hash was worked out, access may have been ended or the PIN changed.
  const { person, hashed: still } = read()
  if (right && person?.active && hashed !== null && still === hashed) {
    deps.attempts.succeeded(name, origin)
    const by = hashed === person.pinHash ? 'PIN' : 'password'
    if (anew) hashAnew(deps, req, person.id, by === 'PIN' ? { pinHash: anew } : { passwordHash: anew })
    deps.log.info({ address, person: person.id, by, requestId: req.id }, 'a sign-in')
    return { person }
  }
  if (deps.attempts.failed(name, origin)) tellSlowDown(deps, req, person?.name ?? name, address)
  deps.log.warn({ address, person: person?.id, requestId: req.id }, 'a sign-in failed')
  return { wrong: wrongWords(isEnrolled(deps, req)) }
}

/** The same secret with today's settings: its owner's doing, whoever is signed in where it is typed. */
function hashAnew(
  { storage }: Deps,
  { visitor }: Request,
  id: string,
  hash: { pinHash: string } | { passwordHash: string },
): void {
  actAs({ personId: id, tabletId: visitor.tablet?.id ?? null }, () => storage.people.update(id, hash))
}

/** Whose guess it is for the slow-down: the tablet's, else that of the person signed in, else the network's. */
export function originOf({ visitor, ip }: Request): Origin {
  if (visitor.tablet) return { kind: 'tablet', id: visitor.tablet.id }
  if (visitor.person) return { kind: 'person', id: visitor.person.id }
  return { kind: 'address', id: networkOf(ip) }
}

/** Whether the secret is right; in words, that too many wait to be looked at. */
async function verifyInTurn(
  { secrets, attempts }: Deps,
  guess: { secret: string; hashed: string | null; name: string; origin: Origin },
): Promise<boolean | string> {
  const { secret, hashed, name, origin } = guess
  const turn = { stranger: origin.kind === 'address', count: attempts.countAt(origin) }
  try {
    return await secrets.verify(secret, hashed, turn)
  } catch (error) {
    attempts.dropped(name, origin)
    if (error instanceof AppError && error.code === 'too many') return error.message
    throw error
  }
}

function wrongWords(enrolled: boolean): string {
  if (enrolled) return 'That name and PIN do not go together. Try again.'
  return 'That name and password do not go together. A PIN works only on a tablet that an engineer has enrolled.'
}

function tellSlowDown(deps: Deps, req: Request, name: string, address: string): void {
  const words = { address, tablet: req.visitor.tablet?.name ?? null }
  deps.storage.trail.happened({ subject: slowedDown, key: name.slice(0, 80), words })
}
