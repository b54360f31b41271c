import type { Request, Response } from 'express'
import { slowedDown } from '../../auth/attempts.ts'
import { hashFor, verifyPin } from '../../auth/pins.ts'
import type { Person } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { isEnrolled, tablet } from '../visitor.ts'

export type Checked = { person: Person } | { wrong: string }

/**
 * Whether the PIN (on an enrolled tablet) or the password is this person's. Wrong guesses are slowed down wherever they
 * are typed, and a slow-down is written into the trail for the engineer.
 */
export async function checkSecret(
  deps: Deps,
  req: Request,
  res: Response,
  name: string,
  secret: string,
): Promise<Checked> {
  const address = req.ip ?? ''
  const wait = deps.attempts.waitFor(name, address)
  if (wait > 0)
    return { wrong: `Too many wrong tries. Wait ${Math.ceil(wait / 1000)} seconds and try again.` }
  const person = deps.storage.people.findByName(name)
  const right = await verifyPin(secret, hashFor(secret, person, isEnrolled(deps, res)))
  if (right && person?.active) {
    deps.attempts.succeeded(name, address)
    return { person }
  }
  if (deps.attempts.failed(name, address)) tellSlowDown(deps, res, person?.name ?? name, address)
  deps.log.warn({ address, requestId: res.locals.requestId }, 'a sign-in failed')
  return { wrong: wrongWords(isEnrolled(deps, res)) }
}

function wrongWords(enrolled: boolean): string {
  if (enrolled) return 'That name and PIN do not go together. Try again.'
  return 'That name and password do not go together. A PIN works only on a tablet that an engineer has enrolled.'
}

function tellSlowDown(deps: Deps, res: Response, name: string, address: string): void {
  const words = { address, tablet: tablet(res)?.name ?? null }
  deps.storage.trail.happened({ subject: slowedDown, key: name.slice(0, 80), words })
}
