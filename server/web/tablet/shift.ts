// A page that says whether this tablet is ready for a shift without signal, and the token of a shift.

import { sha256 } from '#platform'
import { hashToken, newToken } from '../../auth/tokens.ts'
import { AppError } from '../../errors.ts'
import { newId } from '../../ids.ts'
import type { Person } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { json, page } from '../host/answer.ts'
import { person, type Request } from '../host/request.ts'
import { cannotCarry } from './copy.ts'

/** What this tablet holds, how fresh, and what would not work; the rest is filled in by the tablet itself. */
export const show = (deps: Deps) => (req: Request) =>
  page('tablet/ready', { title: 'Ready for a shift', cannot: cannotCarry(deps, req) })

/** Changes with the person's PIN and password, and tells nothing of them. */
export function secretsMark({ pinHash, passwordHash }: Person): string {
  return sha256(JSON.stringify([pinHash, passwordHash]))
}

/** Begins a shift that this tablet carries: gives the token with which its acts are sent, also after a sign-out. */
export const start = (deps: Deps) => (req: Request) => {
  const why = cannotCarry(deps, req)
  if (why) throw new AppError('forbidden', why)
  const token = newToken()
  const until = new Date(deps.clock().getTime() + deps.config.sessionHours * 3600_000).toISOString()
  deps.storage.shifts.start({
    id: newId(),
    personId: person(req).id,
    tabletId: req.visitor.tablet?.id ?? null,
    tokenHash: hashToken(token),
    secretsHash: secretsMark(person(req)),
    until,
  })
  return json({ token, until, now: deps.clock().toISOString() })
}
