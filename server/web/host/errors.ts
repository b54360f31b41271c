import type { ErrorRequestHandler, RequestHandler } from 'express'
import { AppError, httpStatus } from '../../errors.ts'
import { storageTrouble } from '../../storage/engine/trouble.ts'
import type { Deps } from '../deps.ts'
import { renderPage } from './page.ts'

const titles = {
  400: 'That could not be read',
  401: 'Sign in first',
  403: 'Not for your role',
  404: 'There is nothing at this address',
  409: 'Something has changed meanwhile',
  413: 'That is too large',
  429: 'Too fast',
  500: 'Something went wrong here',
  503: 'Not just now',
} as const

export const notFound: RequestHandler = (_req, _res, next) => {
  next(
    new AppError('not found', 'The address may be mistyped, or what it named may belong to another fault.'),
  )
}

/** The one error page. What is not the visitor's business is logged with its request id and shown as a neutral sentence. */
export function showError({ log }: Deps): ErrorRequestHandler {
  return (error, _req, res, next) => {
    if (res.headersSent) return next(error)
    const trouble = storageTrouble(error)
    const known = recognise(error) ?? (trouble ? new AppError('unavailable', trouble) : null)
    const ours = known === null || trouble !== null
    if (ours) log.error({ err: error, requestId: res.locals.requestId }, 'a request failed')
    const status = known ? httpStatus[known.code] : 500
    res.status(status)
    renderPage(res, 'error', {
      title: titles[status as keyof typeof titles],
      message: known?.message ?? 'Nothing you entered earlier is lost. Go back and try again.',
      requestId: ours ? res.locals.requestId : null,
    })
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
function recognise(error: unknown): AppError | null {
  if (error instanceof AppError) return error
  const type = error instanceof Error && 'type' in error ? error.type : null
  if (type === 'entity.too.large')
    return new AppError('too large', 'A form may hold 100 kB at most. Shorten what you wrote.')
  if (type === 'parameters.too.many') return new AppError('too large', 'The form has too many fields.')
  const status = error instanceof Error && 'status' in error ? Number(error.status) : 0
  if (status >= 400 && status < 500) {
    return new AppError('invalid', 'The form arrived damaged. Go back and send it again.')
  }
  if (error instanceof URIError) return new AppError('not found', 'The address is damaged.')
  return null
}
