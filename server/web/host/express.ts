// The host in the depot: Express takes requests in, and what a handler answers is drawn here.

import { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import express, {
  type Request as ExpressRequest,
  type RequestHandler,
  type Response,
  type Router,
} from 'express'
import type { Deps } from '../deps.ts'
import type { Answer, Json, Stream } from './answer.ts'
import { answering } from './answering.ts'
import type { PageDrawing } from './draw-page.ts'
import { sendHtml } from './middleware/packing.ts'
import { readUpload } from './middleware/uploads.ts'
import { setCookie } from './middleware/visitor.ts'
import type { Request } from './request.ts'
import type { Route } from './route.ts'

export interface Drawing {
  /** Sends an answer. Throws when its view fails; rejects when a stream does. */
  send(req: ExpressRequest, res: Response, answer: Answer): void | Promise<void>
}

/** A router for each first part of an address, so that few addresses are tried with each request. */
export function routesOf(deps: Deps, siteMap: Route[], drawing: Drawing): RequestHandler {
  const parts = new Map<string, Router>()
  for (const route of siteMap) {
    const router = parts.get(firstPart(route.path)) ?? express.Router()
    const answer = answering(deps, route)
    router[route.method](route.path, (req, res) => {
      const given = answer(requestOf(req, res))
      // What waits is answered later; what does not, at once: its answer is held with what it wrote.
      return given instanceof Promise
        ? given.then(later => drawing.send(req, res, later))
        : drawing.send(req, res, given)
    })
    parts.set(firstPart(route.path), router)
  }
  return (req, res, next) => {
    const router = parts.get(firstPart(req.path))
    if (router) router(req, res, next)
    else next()
  }
}

/** 'faults' of '/faults/:fault/next'; addresses are read in any case. */
function firstPart(address: string): string {
  const end = address.indexOf('/', 1)
  return address.slice(1, end < 0 ? undefined : end).toLowerCase()
}

/** The request as handlers see it; `res.locals` was filled by the middleware before. */
function requestOf(req: ExpressRequest, res: Response): Request {
  return {
    id: res.locals.requestId,
    method: req.method,
    path: req.path,
    address: req.originalUrl,
    params: (req.params ?? {}) as Record<string, string>,
    query: req.query,
    body: req.body ?? {},
    cookies: res.locals.cookies ?? {},
    get wantsJson() {
      return req.accepts(['html', 'json']) === 'json'
    },
    get origin() {
      return `${req.protocol}://${req.host ?? 'localhost'}`
    },
    get ip() {
      return req.ip ?? ''
    },
    visitor: res.locals.visitor ?? nobody,
    upload: limits => readUpload(req, limits),
  }
}

const nobody: Request['visitor'] = { person: null, tablet: null, look: 'auto', warnings: [] }

export function createDrawing(deps: Deps, pages: PageDrawing): Drawing {
  return {
    send(req, res, answer) {
      res.status(answer.status)
      for (const cookie of answer.cookies) setCookie(deps, res, cookie)
      for (const [name, value] of Object.entries(answer.headers)) res.setHeader(name, value)
      switch (answer.kind) {
        case 'page':
          noStore(res)
          return sendHtml(req, res, pages.page(requestOf(req, res), answer.view, answer.locals))
        case 'redirect':
          return sendRedirect(req, res, answer.to)
        case 'json':
          return sendJson(req, res, answer)
        case 'text':
          noStore(res)
          return void res.type(answer.type).send(answer.text)
        case 'picture':
          res.type(answer.type)
          return res.sendFile(deps.host.picturePath(answer.sha256), {
            dotfiles: 'allow',
            cacheControl: false,
          })
        case 'stream':
          return sendParts(deps, req, res, answer)
      }
    },
  }

  function sendJson(req: ExpressRequest, res: Response, { data, html }: Json): void {
    noStore(res)
    const drawn = html && { html: pages.part(requestOf(req, res), html.view, html.locals) }
    res.json({ ...data, ...drawn })
  }
}

/**
 * A service worker sees nothing of a redirect, not even whose it is: one that asks for it is told in a header where it
 * leads, so that a captive portal's is not taken for ours.
 */
function sendRedirect(req: ExpressRequest, res: Response, to: string): void {
  if (req.get('X-Redirects') === 'told') res.status(200).setHeader('X-Redirect-To', to)
  // Without the page that Express makes for browsers that follow no address.
  else res.type('text').location(to)
  res.end()
}

function noStore(res: Response): void {
  if (!res.hasHeader('Cache-Control')) res.setHeader('Cache-Control', 'no-store')
}

/** What went wrong in the middle can't be told to the client any more: it is logged, and the connection is cut. */
async function sendParts({ log }: Deps, req: ExpressRequest, res: Response, { type, parts }: Stream) {
  noStore(res)
  res.setHeader('Content-Type', type)
  try {
    await pipeline(Readable.from(parts), res)
  } catch (error) {
    // A client disconnect is not an error.
    if (!req.destroyed || !isDisconnect(error))
      log.error({ err: error, requestId: res.locals.requestId }, 'a file broke off while it was sent')
  }
}

function isDisconnect(error: unknown): boolean {
  return error instanceof Error && 'code' in error && error.code === 'ERR_STREAM_PREMATURE_CLOSE'
}
