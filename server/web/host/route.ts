import type { Right } from '../../auth/roles.ts'
import type { Deps } from '../deps.ts'
import type { Answer } from './answer.ts'
import type { Request } from './request.ts'

/** From what a handler needs, once, to a function from a request to its answer. */
export type Handler = (deps: Deps) => (req: Request) => Answer | Promise<Answer>

export interface Route {
  method: 'get' | 'post'
  path: string
  /** `anyone` needs no sign-in; `signed in` any role. */
  may: 'anyone' | 'signed in' | Right
  handler: Handler
}

export const get = (path: string, may: Route['may'], handler: Handler): Route => ({
  method: 'get',
  path,
  may,
  handler,
})
export const post = (path: string, may: Route['may'], handler: Handler): Route => ({
  method: 'post',
  path,
  may,
  handler,
})
