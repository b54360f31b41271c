// The program on a tablet: the same handlers, views and storage as in the depot, over the copy that it carries.

import { AppError } from '../errors.ts'
import { newId } from '../ids.ts'
import { withoutControls } from '../plain-words.ts'
import type { Deps } from '../web/deps.ts'
import type { Answer, Cookie } from '../web/host/answer.ts'
import { answering } from '../web/host/answering.ts'
import {
  type AssetAddresses,
  createPageDrawing,
  type PageDrawing,
  type TabletState,
} from '../web/host/draw-page.ts'
import { errorPage, notFound } from '../web/host/error-page.ts'
import type { Views } from '../web/host/print-views.ts'
import type { Request, Visitor } from '../web/host/request.ts'
import type { Route } from '../web/host/route.ts'
import { writtenTo } from '../web/host/sent-once.ts'
import { warningsFor } from '../web/host/warnings.ts'
import { fieldsOf } from '../web/tablet/acts.ts'
import { carriedRoutes } from '../web/tablet/carried-routes.ts'
import { findRoute } from '../web/tablet/find-route.ts'
import { createTabletDeps, type Surroundings, type TabletDepsOptions } from './deps.ts'

/** A request as a browser made it, or an act of before. */
export interface Asked {
  method: string
  /** Path and query. */
  address: string
  /** The form as it was sent; '' where there is none. */
  body: string
  cookies: Record<string, string>
  wantsJson: boolean
  /** Of an act: when it was done. */
  doneAt?: string
}

export interface Drawn {
  status: number
  headers: Record<string, string>
  body: string
  cookies: Cookie[]
  /** The id of the form that was recorded; null when nothing was. */
  written: string | null
}

export interface Program {
  /** Whether the tablet answers that address. */
  carries(method: string, address: string): boolean
  answer(asked: Asked): Promise<Drawn>
  /** A page that says why something can't be had without signal. */
  explain(asked: Asked, error: unknown): Drawn
}

export interface ProgramOptions extends TabletDepsOptions {
  views: Views
  assets: AssetAddresses
  /** Those of every answer of the depot. */
  headers: Record<string, string>
  /** How it stands, for the head of each page. */
  state?: () => TabletState
}

export function createProgram(options: ProgramOptions): Program {
  const { about, views, assets, headers, state } = options
  const deps = createTabletDeps(options)
  const draw = drawing(createPageDrawing(deps, views, assets, state), headers)
  const handlers = new Map<Route, (req: Request) => Answer | Promise<Answer>>()
  const find = (method: string, address: string) => findRoute(carriedRoutes, method, pathOf(address))

  function handlerOf(route: Route) {
    const made = handlers.get(route) ?? answering(deps, route)
    handlers.set(route, made)
    return made
  }

  async function answer(asked: Asked): Promise<Drawn> {
    const found = find(asked.method, asked.address)
    const req = requestOf(deps, about, asked, found?.params ?? {})
    try {
      if (!found) throw notFound()
      const given = await handlerOf(found.route)(req)
      deps.storage.commits.settle()
      return draw(req, given)
    } catch (error) {
      return draw(req, errorPage(deps, req.id, error))
    }
  }

  return {
    answer,
    carries: (method, address) => find(method, address) !== null,
    explain: (asked, error) => {
      const req = requestOf(deps, about, asked, {})
      return draw(req, errorPage(deps, req.id, error))
    },
  }
}

/** Draws an answer as the depot's host does. Throws 'unavailable' for a file that only the depot has. */
function drawing(pages: PageDrawing, headers: Record<string, string>) {
  return (req: Request, given: Answer): Drawn => {
    const written = writtenTo(given) === null ? null : writtenId(req)
    const common = { status: given.status, cookies: given.cookies, written }
    const withType = (type: string, body: string): Drawn => ({
      ...common,
      body,
      headers: {
        ...{ 'Cache-Control': 'no-store', 'X-Request-Id': req.id },
        ...headers,
        ...given.headers,
        'Content-Type': type,
      },
    })
    switch (given.kind) {
      case 'page':
        return withType('text/html; charset=utf-8', pages.page(req, given.view, given.locals))
      case 'redirect':
        return { ...common, body: '', headers: { ...headers, ...given.headers, Location: given.to } }
      case 'json': {
        const drawn = given.html && { html: pages.part(req, given.html.view, given.html.locals) }
        return withType('application/json; charset=utf-8', JSON.stringify({ ...given.data, ...drawn }))
      }
      case 'text':
        return withType(given.type, given.text)
      default:
        throw new AppError('unavailable', 'This needs signal.')
    }
  }
}

function requestOf(deps: Deps, about: Surroundings, asked: Asked, params: Record<string, string>): Request {
  const { look } = asked.cookies
  const visitor: Visitor = {
    person: about.person,
    tablet: about.tablet,
    look: look === 'day' || look === 'night' ? look : 'auto',
    warnings: warningsFor(deps, about.person),
  }
  return {
    id: newId(),
    method: asked.method,
    path: pathOf(asked.address),
    address: asked.address,
    params,
    query: fieldsOf(asked.address.split('?')[1] ?? ''),
    body: cleaned(fieldsOf(asked.body)),
    cookies: asked.cookies,
    wantsJson: asked.wantsJson,
    ip: '',
    origin: about.origin,
    visitor,
    doneAt: asked.doneAt,
    stillThere: () => about.person,
    upload: async () => {
      throw new AppError('unavailable', 'A file is sent when there is signal.')
    },
  }
}

const pathOf = (address: string) => address.split('?')[0] ?? address

function cleaned(fields: Record<string, string | string[]>): Record<string, string | string[]> {
  return Object.fromEntries(
    Object.entries(fields).map(([name, value]) => [
      name,
      typeof value === 'string' ? withoutControls(value) : value.map(withoutControls),
    ]),
  )
}

function writtenId({ method, body }: Request): string | null {
  return method === 'POST' && typeof body.id === 'string' ? body.id : null
}
