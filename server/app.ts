import { randomUUID } from 'node:crypto'
import compression from 'compression'
import express, { type Express } from 'express'
import type { Deps } from './web/deps.ts'
import { createPageDrawing } from './web/host/draw-page.ts'
import { createDrawing, routesOf } from './web/host/express.ts'
import { assetAddresses, assets } from './web/host/middleware/assets.ts'
import { lastResort, noRoute, showError } from './web/host/middleware/errors.ts'
import { healthz } from './web/host/middleware/healthz.ts'
import { lookOnly } from './web/host/middleware/look-only.ts'
import { rateLimit } from './web/host/middleware/rate-limit.ts'
import { readForms } from './web/host/middleware/read-forms.ts'
import { requestLog } from './web/host/middleware/request-log.ts'
import { respondAfterCommit } from './web/host/middleware/respond-after-commit.ts'
import { sameOrigin } from './web/host/middleware/same-origin.ts'
import { securityHeaders } from './web/host/middleware/security-headers.ts'
import { tabletClock } from './web/host/middleware/tablet-clock.ts'
import { tabletWorker } from './web/host/middleware/tablet-worker.ts'
import { readVisitor } from './web/host/middleware/visitor.ts'
import { practiceWorld } from './web/host/practice-world.ts'
import { createViews } from './web/host/view-engine.ts'
import { worldAddress } from './web/practice/exercises.ts'
import { siteMap } from './web/routes.ts'

/** The whole web application; nothing is listened on and nothing is opened here. */
export function createApp(deps: Deps, views = createViews(deps.viewsDir)): Express {
  const app = express()
  const addresses = assetAddresses(deps.viewsDir)
  const pages = createPageDrawing(deps, views, addresses)
  const drawing = createDrawing(deps, pages)
  app.set('env', 'production') // no stack to anybody, however the program is started
  app.disable('x-powered-by')
  app.set('trust proxy', deps.config.trustProxy)
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
  app.use(['/assets', '/drafts', '/editions', '/export', '/tablet/copy'], compression())
  app.get('/healthz', healthz(deps))
  app.use('/assets', assets(deps))
  app.use(tabletWorker(deps))
  app.use(respondAfterCommit(deps))
  // First, so that every page of trouble knows who is there and how they like it shown.
  app.use(readVisitor(deps))
  app.use(rateLimit(deps))
  app.use(sameOrigin)
  if (deps.lookOnly) app.use(lookOnly)
  app.use(readForms())
  app.use(tabletClock(deps))
  app.use(worldAddress, practiceWorld(deps, views, addresses))
  app.use(routesOf(deps, siteMap, drawing))
  app.use(noRoute)
  app.use(showError(deps, drawing))
  app.use(lastResort(deps))
  return app
}
