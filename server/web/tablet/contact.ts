// A tablet with signal again: whether its shift goes on, what the time is, and whether it holds what the depot holds.

import { z } from 'zod'
import { hashToken } from '../../auth/tokens.ts'
import { AppError } from '../../errors.ts'
import type { Person, Shift } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { json } from '../host/answer.ts'
import type { Request } from '../host/request.ts'
import { heldIds } from './held-ids.ts'
import { secretsMark } from './shift.ts'

const called = z.object({
  shift: z.string().max(100),
  /** JSON: each fault that was worked on, with the ids of all its entries on the tablet. */
  holds: z.string().transform(readHolds),
})

/**
 * Answers with the time, why the shift has ended (or null), and the faults whose record is another one here. The tablet
 * takes a fresh copy then; what it alone has is logged, for nothing of that should be.
 */
export const call = (deps: Deps) => (req: Request) => {
  const form = called.safeParse(req.body)
  if (!form.success) throw new AppError('invalid', 'This is no call of a tablet.')
  const shift = deps.storage.shifts.findByToken(hashToken(form.data.shift))
  const person = shift && deps.storage.people.find(shift.personId)
  if (!shift || !person) throw new AppError('forbidden', 'The depot knows no such shift.')
  const differ = [...form.data.holds].filter(([fault, ids]) => differs(deps, shift, fault, ids))
  const now = deps.clock().toISOString()
  return json({ now, ended: whyEnded(deps, shift, person, now), differ: differ.map(([fault]) => fault) })
}

function whyEnded({ storage }: Deps, shift: Shift, person: Person, now: string): string | null {
  const tablet = storage.tablets.list().find(one => one.id === shift.tabletId)
  if (tablet?.revokedAt) return 'This tablet was revoked.'
  if (!person.active) return 'You have no access any more.'
  if (shift.secretsHash !== null && shift.secretsHash !== secretsMark(person))
    return 'Your PIN or password was changed.'
  return now >= shift.until ? 'The shift is over.' : null
}

function differs(deps: Deps, shift: Shift, faultId: string, held: string[]): boolean {
  const here = new Set(heldIds(deps, faultId))
  const alone = held.filter(id => !here.has(id))
  if (alone.length > 0)
    deps.log.warn({ faultId, shiftId: shift.id, alone }, 'a tablet had entries that the depot has not')
  return alone.length > 0 || here.size !== held.length
}

function readHolds(text: string, context: z.RefinementCtx): Map<string, string[]> {
  const shape = z.record(z.string(), z.array(z.string()))
  try {
    return new Map(Object.entries(shape.parse(JSON.parse(text))))
  } catch {
    context.addIssue({ code: 'custom', message: 'not what a tablet holds' })
    return z.NEVER
  }
}
