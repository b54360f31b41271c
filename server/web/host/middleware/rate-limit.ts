import type { RequestHandler } from 'express'
import { networkOf } from '../../../auth/address.ts'
import { createRate } from '../../../auth/rate.ts'
import { AppError } from '../../../errors.ts'
import type { Deps } from '../../deps.ts'
import type { Visitor } from '../request.ts'

/** Slows down a visitor who asks for more than a hand can: the person signed in, else the enrolled tablet, else the network. */
export function rateLimit({ clock, config }: Deps): RequestHandler {
  const rate = createRate(clock, config.ratePerMinute)
  return (req, res, next) => {
    const { person, tablet }: Visitor = res.locals.visitor
    // A tablet waits for nobody else behind the same address, or it could be kept from signing in.
    const who = person?.id ?? (tablet ? `tablet ${tablet.id}` : `address ${networkOf(req.ip ?? '')}`)
    const wait = rate.waitFor(who)
    if (wait === 0) return next()
    res.setHeader('Retry-After', String(wait))
    next(
      new AppError(
        'too many',
        `Too many requests at once. Wait ${wait} seconds and try again: nothing is lost.`,
      ),
    )
  }
}
