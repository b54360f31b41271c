import type { Request, RequestHandler, Response } from 'express'
import type { Deps } from '../../deps.ts'

/** Signed out, without the right or from another site, and too many: the traces of an intruder's attempts. */
const refusals = [401, 403, 429]

/**
 * One line a request, whether it was answered or cut off: never the body and never the query, so never a PIN or a typed
 * word. What was refused is a warning, with where it came from.
 */
export function requestLog({ log, clock }: Deps): RequestHandler {
  return (req, res, next) => {
    const began = clock().getTime()
    const { path } = req // before a part of it is taken off
    res.on('close', () => {
      const line = {
        requestId: res.locals.requestId,
        method: req.method,
        path,
        status: res.statusCode,
        ms: clock().getTime() - began,
        person: res.locals.visitor?.person?.id,
      }
      if (!res.writableFinished) log.warn({ ...from(req, res), ...line }, 'a request was cut off')
      else if (refusals.includes(res.statusCode))
        log.warn({ ...from(req, res), ...line }, 'a request was refused')
      else log.info(line)
    })
    next()
  }
}

function from(req: Request, res: Response) {
  return { address: req.ip, tablet: res.locals.visitor?.tablet?.id }
}
