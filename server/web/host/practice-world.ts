// The pages of practice: the technician's own pages, mounted a second time under an address of their own, over the
// database of the visitor's exercise. Addresses are given their beginning as the answers leave.

import type { Request as ExpressRequest, RequestHandler, Response } from 'express'
import type { Deps } from '../deps.ts'
import { type Exercise, exerciseOf, worldAddress } from '../practice/exercises.ts'
import { worldRoutes } from '../practice/world.ts'
import type { Answer } from './answer.ts'
import { type AssetAddresses, createPageDrawing, type PageDrawing } from './draw-page.ts'
import { createDrawing, type Drawing, routesOf } from './express.ts'
import { noRoute, showError } from './middleware/errors.ts'
import type { Views } from './print-views.ts'
import type { Visitor } from './request.ts'

/** Answers below `worldAddress`. Whoever has no exercise is sent to begin one, and after a danger to what it was. */
export function practiceWorld(deps: Deps, views: Views, assets: AssetAddresses): RequestHandler {
  const worlds = new WeakMap<Exercise, RequestHandler>()
  return (req, res, next) => {
    const visitor = res.locals.visitor as Visitor
    const who = visitor.person
    if (!who || who.given) return void res.redirect(303, '/practice')
    const exercise = exerciseOf(deps, who.id)
    if (!exercise) return void res.redirect(303, '/practice')
    const { result } = exercise.practising
    if (result && req.method !== 'GET') return void res.redirect(303, `/practice/results/${result}`)
    const world = worlds.get(exercise) ?? createWorld(deps, exercise, views, assets)
    worlds.set(exercise, world)
    // Whoever practises does what a technician does, whatever their role in the depot is.
    res.locals.visitor = { ...visitor, person: { ...who, role: 'technician' } } satisfies Visitor
    world(req, res, next)
  }
}

function createWorld(depot: Deps, exercise: Exercise, views: Views, assets: AssetAddresses): RequestHandler {
  const { deps } = exercise
  const drawing = below(exercise, createDrawing(deps, addressed(createPageDrawing(deps, views, assets))))
  const routes = routesOf(deps, worldRoutes(depot, exercise), drawing)
  const failed = showError(deps, drawing)
  return (req, res, next) =>
    routes(req, res, error => {
      if (error) return void failed(error, req, res, next)
      noRoute(req, res, missing => void failed(missing, req, res, next))
    })
}

/** What belongs to the whole program, and keeps its address in practice. */
const OUTSIDE =
  /^\/(?:$|\/|(?:assets|look|sign-in|sign-out|me|cover|sources|practice|knowledge|tablet)(?:[/?#]|$))/

/** An address of the program as it is in practice. */
export function inWorld(address: string): string {
  return address.startsWith('/') && !OUTSIDE.test(address) ? worldAddress + address : address
}

/** What is typed can hold no quote in a page, so that only our own attributes are met. */
const ADDRESSES = /(\s(?:href|action|formaction|src)=")(\/[^"]*)"/g

function addressed(pages: PageDrawing): PageDrawing {
  const given = (html: string) =>
    html.replace(ADDRESSES, (_, before: string, address: string) => `${before}${inWorld(address)}"`)
  return {
    page: (...asked) => given(pages.page(...asked)),
    part: (...asked) => given(pages.part(...asked)),
  }
}

function below({ deps }: Exercise, drawing: Drawing): Drawing {
  return {
    send(req: ExpressRequest, res: Response, answer: Answer) {
      deps.storage.commits.settle()
      return drawing.send(req, res, moved(answer))
    },
  }
}

function moved(answer: Answer): Answer {
  if (answer.kind === 'redirect') return { ...answer, to: inWorld(answer.to) }
  if (answer.kind !== 'json' || typeof answer.data.next !== 'string') return answer
  return { ...answer, data: { ...answer.data, next: inWorld(answer.data.next) } }
}
