// A program that is only there to be looked at takes nothing in but what signing in needs.

import type { RequestHandler } from 'express'
import { AppError } from '../../../errors.ts'

const signingIn = new Set(['/setup', '/sign-in', '/sign-out', '/cover'])

/** Passes AppError 'forbidden' on for every form but those. */
export const lookOnly: RequestHandler = (req, _res, next) => {
  if (['GET', 'HEAD'].includes(req.method) || signingIn.has(req.path)) return next()
  next(new AppError('forbidden', 'This is only to look at: nothing can be recorded here.'))
}
