import { parseCookie } from 'cookie'
import type { RequestHandler, Response } from 'express'
import type { Deps } from '../../deps.ts'
import type { Cookie } from '../answer.ts'
import type { Request, Visitor } from '../request.ts'
import { personOf, tabletOf } from '../sessions.ts'
import { warningsFor } from '../warnings.ts'

/** Over https the name itself keeps a neighbour or an unsafe page from setting a cookie. */
const securePrefix = '__Host-'

/** Reads the cookies and who is there, into `res.locals.cookies` and `res.locals.visitor`. */
export function readVisitor(deps: Deps): RequestHandler {
  const secure = deps.config.cookieSecure
  return (req, res, next) => {
    const cookies = ourCookies(parseCookie(req.headers.cookie ?? ''), secure)
    const { look } = cookies
    const visitor: Visitor = {
      person: null,
      tablet: null,
      look: look === 'day' || look === 'night' ? look : 'auto',
      warnings: warningsFor(deps, null),
    }
    Object.assign(res.locals, { cookies, visitor })
    // Only now the database is asked: should it not answer, the page that says so can be drawn.
    deps.storage.lookOnce()
    visitor.tablet = tabletOf(deps, cookies)
    visitor.person = personOf(deps, cookies)
    if (visitor.person) visitor.warnings = warningsFor(deps, visitor.person)
    if (cookies.kept && req.method === 'GET') setCookie(deps, res, { name: 'kept', value: null })
    next()
  }
}

/** Sets a cookie, or takes it away, in the one way that ours are set. */
export function setCookie({ config }: Deps, res: Response, { name, value, maxAgeMs }: Cookie): void {
  const secure = config.cookieSecure
  const shape = { httpOnly: true, sameSite: 'lax', secure, path: '/' } as const
  const fullName = secure ? securePrefix + name : name
  if (value === null) res.clearCookie(fullName, shape)
  else res.cookie(fullName, value, { ...shape, maxAge: maxAgeMs })
}

/** Under our own names. Where cookies are secure, one without the prefix is not ours. */
function ourCookies(cookies: Request['cookies'], secure: boolean): Request['cookies'] {
  if (!secure) return cookies
  return Object.fromEntries(
    Object.entries(cookies).flatMap(([name, value]) =>
      name.startsWith(securePrefix) ? [[name.slice(securePrefix.length), value]] : [],
    ),
  )
}
