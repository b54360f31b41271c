import type { RequestHandler } from 'express'
import type { Deps } from './deps.ts'

/** One line a request: never the body, so never a PIN. */
export function requestLog({ log, clock }: Deps): RequestHandler {
  return (req, res, next) => {
    const began = clock().getTime()
    res.on('finish', () => {
      log.info({
        requestId: res.locals.requestId,
        method: req.method,
        path: req.path,
        status: res.statusCode,
        ms: clock().getTime() - began,
        person: res.locals.person?.id,
      })
    })
    next()
  }
}
