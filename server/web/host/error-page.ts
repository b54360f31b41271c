import { AppError, httpStatus } from '../../errors.ts'
import { storageTrouble } from '../../storage/engine/trouble.ts'
import type { Deps } from '../deps.ts'
import { type Page, page } from './answer.ts'

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

export function notFound(): AppError {
  return new AppError(
    'not found',
    'The address may be mistyped, or what it named may belong to another fault.',
  )
}

/** The one error page. What is not the visitor's business is logged with its request id and shown as a neutral sentence. */
export function errorPage({ log }: Deps, requestId: string, error: unknown): Page {
  const trouble = storageTrouble(error)
  const shown = error instanceof AppError ? error : trouble ? new AppError('unavailable', trouble) : null
  const ours = shown === null || trouble !== null
  if (ours) log.error({ err: error, requestId }, 'a request failed')
  const status = shown ? httpStatus[shown.code] : 500
  const locals = {
    title: titles[status as keyof typeof titles],
    message: shown?.message ?? 'Nothing you entered earlier is lost. Go back and try again.',
    requestId: ours ? requestId : null,
  }
  return page('error', locals, { status, headers: status === 503 ? { 'Retry-After': '5' } : {} })
}
