import type { RequestHandler } from 'express'
import { createRate } from '../../../auth/rate.ts'
import { AppError } from '../../../errors.ts'
import type { Deps } from '../../deps.ts'

/** Slows down a visitor who asks for more pages than a hand can: the person signed in, else the address. */
export function rateLimit({ clock, config }: Deps): RequestHandler {
  const rate = createRate(clock, config.ratePerMinute)
  return (req, res, next) => {
    const wait = rate.waitFor(res.locals.visitor.person?.id ?? `address ${req.ip}`)
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
