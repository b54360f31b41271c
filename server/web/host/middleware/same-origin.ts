// Forms are taken only from our own pages. A browser says where a form came from: in Sec-Fetch-Site where the
// connection is trustworthy, in Origin on every POST. What says neither is a program; it may knock (health checks,
// scripts that sign in), but not with somebody's cookie, since then it might be an old browser led astray.

import type { RequestHandler } from 'express'
import { AppError } from '../../../errors.ts'

/** Passes AppError 'forbidden' on when an unsafe request does not come from our own pages. */
export const sameOrigin: RequestHandler = (req, _res, next) => {
  if (['GET', 'HEAD', 'OPTIONS'].includes(req.method)) return next()
  const { origin, cookie } = req.headers
  const site = req.get('Sec-Fetch-Site')
  if (isOurs({ site, origin, host: req.host, hasCookie: cookie !== undefined })) return next()
  next(
    new AppError(
      'forbidden',
      'This form did not come from a page of this program. Open the page again and send it.',
    ),
  )
}

interface Sender {
  site: string | undefined
  origin: string | undefined
  /** Name and port this program was called by. */
  host: string | undefined
  hasCookie: boolean
}

function isOurs({ site, origin, host, hasCookie }: Sender): boolean {
  if (site !== undefined) return site === 'same-origin' || site === 'none'
  if (origin !== undefined) return host !== undefined && hostOf(origin) === host.toLowerCase()
  return !hasCookie
}

function hostOf(origin: string): string | null {
  return URL.canParse(origin) ? new URL(origin).host : null
}
