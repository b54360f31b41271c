import type { Request, Response } from 'express'
import type { Deps } from './deps.ts'
import { visitor } from './host/visitor.ts'

const firstPage = {
  technician: '/faults',
  engineer: '/open',
  author: '/knowledge',
  reviewer: '/knowledge',
} as const

/** Each kind of user begins on their own page; a database without people begins with the first account. */
export const home = (deps: Deps) => (_req: Request, res: Response) => {
  const person = visitor(res)
  if (person) return res.redirect(303, firstPage[person.role])
  res.redirect(303, deps.storage.people.count() === 0 ? '/setup' : '/sign-in')
}
