import { randomUUID } from 'node:crypto'
import compression from 'compression'
import express, { type Express } from 'express'
import { sameOrigin } from './auth/same-origin.ts'
import type { Deps } from './web/deps.ts'
import { healthz } from './web/healthz.ts'
import { assets } from './web/host/assets.ts'
import { lastResort, notFound, showError } from './web/host/errors.ts'
import { holdAnswers } from './web/host/hold-answers.ts'
import { rateLimit } from './web/host/rate-limit.ts'
import { readForms } from './web/host/read-forms.ts'
import { requestLog } from './web/host/request-log.ts'
import { securityHeaders } from './web/host/security-headers.ts'
import { tabletClock } from './web/host/tablet-clock.ts'
import { createViews } from './web/host/view-engine.ts'
import { readVisitor } from './web/host/visitor.ts'
import { routes } from './web/routes.ts'

/** The whole web application; nothing is listened on and nothing is opened here. */
export function createApp(deps: Deps): Express {
  const app = express()
  app.set('env', 'production') // no stack to anybody, however the program is started
  app.disable('x-powered-by')
  app.set('trust proxy', deps.config.trustProxy)
  app.locals.views = createViews(deps.viewsDir)
  app.set('query parser', 'simple')
  app.set('etag', false) // no page is kept by any browser, so none is asked for again by its tag

  app.use((_req, res, next) => {
    res.locals.requestId = randomUUID()
    res.setHeader('X-Request-Id', res.locals.requestId)
    res.setHeader('Permissions-Policy', 'camera=(), geolocation=(), microphone=(), payment=(), usb=()')
    next()
  })
  app.use(requestLog(deps))
  app.use(securityHeaders(deps.config.cookieSecure))
  // Pages are packed as they are sent.
  app.use(['/assets', '/drafts', '/editions', '/export'], compression())
  app.get('/healthz', healthz(deps))
  app.use('/assets', assets(deps))
  app.use(holdAnswers(deps))
  // First, so that every page of trouble knows who is there and how they like it shown.
  app.use(readVisitor(deps))
  app.use(rateLimit(deps))
  app.use(sameOrigin)
  app.use(readForms())
  app.use(tabletClock(deps))
  app.use(routes(deps))
  app.use(notFound)
  app.use(showError(deps))
  app.use(lastResort(deps))
  return app
}
