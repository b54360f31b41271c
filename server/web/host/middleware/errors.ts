import type { ErrorRequestHandler, RequestHandler } from 'express'
import { AppError } from '../../../errors.ts'
import type { Deps } from '../../deps.ts'
import { errorPage, notFound } from '../error-page.ts'
import type { Drawing } from '../express.ts'

/** Where no route is. */
export const noRoute: RequestHandler = (_req, _res, next) => next(notFound())

export function showError(deps: Deps, drawing: Drawing): ErrorRequestHandler {
  return (error, req, res, next) => {
    if (res.headersSent) return next(error)
    drawing.send(req, res, errorPage(deps, res.locals.requestId, recognise(error)))
  }
}

/** When not even the error page can be drawn: plain words, and never a stack. */
export function lastResort({ log }: Deps): ErrorRequestHandler {
  return (error, _req, res, _next) => {
    log.error({ err: error, requestId: res.locals.requestId }, 'the error page failed')
    if (res.headersSent) return void res.destroy()
    res.status(500).type('text').send(`Something went wrong here. Number: ${res.locals.requestId}`)
  }
}

/** Express and its body reader have errors of their own; only these are the visitor's. */
function recognise(error: unknown): unknown {
  if (error instanceof AppError) return error
  const type = error instanceof Error && 'type' in error ? error.type : null
  if (type === 'entity.too.large')
    return new AppError('too large', 'A form may hold 100 kB at most. Shorten what you wrote.')
  if (type === 'parameters.too.many') return new AppError('too large', 'The form has too many fields.')
  const status = error instanceof Error && 'status' in error ? Number(error.status) : 0
  if (status >= 400 && status < 500)
    return new AppError('invalid', 'The form arrived damaged. Go back and send it again.')
  if (error instanceof URIError) return new AppError('not found', 'The address is damaged.')
  return error
}
