// The world of an exercise: the pages of a technician over its own database, watched for what would be dangerous.

import type { Check } from '../../knowledge/types.ts'
import { seenNow } from '../../practice/course.ts'
import type { Danger } from '../../practice/dangers.ts'
import { worksOn } from '../../practice/dangers.ts'
import type { Deps } from '../deps.ts'
import { type Answer, type Page, redirect, redirectAfterWrite } from '../host/answer.ts'
import { isAsync } from '../host/answering.ts'
import type { Request } from '../host/request.ts'
import { type Handler, post, type Route } from '../host/route.ts'
import { isPlateOf } from '../technician/attend/identity.ts'
import { technicianRoutes } from '../technician/routes.ts'
import { end } from './ending.ts'
import { type Exercise, inHand, standing } from './exercises.ts'
import { answered, panelOf, take } from './reading.ts'

/** The addresses of the world; `depot`: where the exercise's result is kept. */
export function worldRoutes(depot: Deps, exercise: Exercise): Route[] {
  const here =
    (handle: (req: Request) => Answer): Handler =>
    () =>
      handle
  return [
    post('/faults/:fault/meter', 'attend faults', here(take(depot, exercise))),
    post('/faults/:fault/plate', 'attend faults', here(readPlate(exercise))),
    post('/faults/:fault/train', 'attend faults', here(waitForTrain(exercise))),
    ...technicianRoutes.map(route => watched(depot, exercise, route)),
  ]
}

function readPlate(exercise: Exercise) {
  return () => {
    exercise.plateRead = true
    return redirect(`/faults/${exercise.faultId}/identity`)
  }
}

/** Minutes until the train has passed and the signal is back at danger; assumed. */
const TRAIN_PASSES = 4

function waitForTrain(exercise: Exercise) {
  return () => {
    if (exercise.practising.train) exercise.waited += TRAIN_PASSES
    exercise.practising.train = null
    return redirect(`/faults/${exercise.faultId}/next`)
  }
}

function watched(depot: Deps, exercise: Exercise, route: Route): Route {
  return { ...route, handler: deps => around(depot, exercise, route, route.handler(deps)) }
}

type Handle = (req: Request) => Answer | Promise<Answer>

function around(depot: Deps, exercise: Exercise, route: Route, handle: Handle): Handle {
  const asked = (req: Request): Request => ({ ...req, stillThere: () => req.visitor.person })
  if (isAsync(handle))
    return async req =>
      stopped(depot, exercise, route, req) ?? after(depot, exercise, req, await handle(asked(req)))
  return req => {
    const ended = stopped(depot, exercise, route, req)
    if (ended) return ended
    const answer = handle(asked(req))
    return answer instanceof Promise ? answer : after(depot, exercise, req, answer)
  }
}

/** Where what is sent would have been dangerous, the exercise ends in place of it. */
function stopped(depot: Deps, exercise: Exercise, route: Route, req: Request): Answer | null {
  const danger = req.method === 'POST' ? dangerIn(exercise, route, req) : null
  if (!danger) return null
  const result = end(depot, exercise, req, danger)
  return redirectAfterWrite(depot, req, String(req.body.id ?? ''), `/practice/results/${result}`)
}

function dangerIn(exercise: Exercise, { path }: Route, req: Request): Danger | null {
  if (path === '/faults/:fault/identity') return skippedPlate(exercise, req) ? 'plate' : null
  const check = /\/(?:findings|proof\/:tree\/:check)$/.test(path) ? answered(exercise, req) : null
  const works = check ? worksOn(check) && req.body.how !== 'cannot tell' : path === '/faults/:fault/repairs'
  return exercise.practising.train && works ? 'proceed' : null
}

/** The right code, typed without having been read. Each reading is good for once. */
function skippedPlate(exercise: Exercise, req: Request): boolean {
  const { position } = inHand(exercise, req)
  if (!isPlateOf(String(req.body.typed ?? ''), position.plate, [])) return false
  const read = exercise.plateRead
  exercise.plateRead = false
  return !read
}

function after(depot: Deps, exercise: Exercise, req: Request, answer: Answer): Answer {
  if (req.method === 'POST') afterWrite(depot, exercise, req, answer)
  return answer.kind === 'page' ? shown(exercise, req, answer) : answer
}

/** How likely a train is signalled after each thing recorded; assumed. */
const TRAIN = 0.12

function afterWrite(depot: Deps, exercise: Exercise, req: Request, answer: Answer): void {
  reportedAnew(exercise, req)
  const { record } = inHand(exercise, req)
  // What is passed on goes on in another tree, from its own report.
  if (record.closure && record.closure.outcome !== 'passed on')
    return void end(depot, exercise, req, 'closed')
  const recorded = answer.kind !== 'page' && /\/findings$/.test(req.path)
  if (!recorded || !exercise.hidden.world.site.signal) return
  const seed = `${exercise.id} train ${record.findings.length}`
  if (depot.practice?.chance(seed).chance(TRAIN))
    exercise.practising.train = `/faults/${exercise.faultId}/train`
}

function reportedAnew(exercise: Exercise, req: Request): void {
  const id = req.path === '/faults' ? String(req.body.id) : ''
  const isKept = exercise.deps.storage.faults.listOpen().some(fault => fault.id === id)
  if (!isKept || id === exercise.faultId) return
  exercise.before.push(exercise.faultId)
  exercise.faultId = id
}

/** With what can be seen and read there, on the pages where something is looked at. */
function shown(exercise: Exercise, req: Request, answer: Page): Page {
  const { view, locals } = answer
  const { check } = locals as { check?: Check }
  if (view === 'technician/check/check' && check) return withPanel(exercise, req, answer, check, 'checks')
  if (view === 'technician/prove/proof-check' && check)
    return withPanel(exercise, req, answer, check, 'proof')
  if (view === 'technician/attend/identity')
    return { ...answer, locals: { ...locals, practice: plateOf(exercise, req) } }
  if (view !== 'technician/prove/proof') return answer
  const now = standing(exercise, inHand(exercise, req))
  const practice = { seen: seenNow(now), happened: now.happened }
  return { ...answer, locals: { ...locals, practice } }
}

function withPanel(
  exercise: Exercise,
  req: Request,
  answer: Page,
  check: Check,
  from: 'checks' | 'proof',
): Page {
  const practice = panelOf(exercise, inHand(exercise, req), check, from, req)
  const { last } = practice
  const typed = (answer.locals.values ?? {}) as Record<string, unknown>
  const values = last ? { text: last.text, word: last.word, ...typed } : typed
  return { ...answer, locals: { ...answer.locals, practice, values } }
}

function plateOf(exercise: Exercise, req: Request) {
  const { position } = inHand(exercise, req)
  return { at: `/faults/${exercise.faultId}`, plate: exercise.plateRead ? position.plate : null }
}
