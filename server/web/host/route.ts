import type { RequestHandler } from 'express'
import type { Right } from '../../auth/roles.ts'
import type { Deps } from '../deps.ts'

export type Handler = (deps: Deps) => RequestHandler

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
