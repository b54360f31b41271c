import type { Deps } from './deps.ts'
import { redirect } from './host/answer.ts'
import type { Request } from './host/request.ts'

const firstPage = {
  technician: '/faults',
  engineer: '/open',
  author: '/knowledge',
  reviewer: '/knowledge',
} as const

/** Each kind of user begins on their own page; a database without people begins with the first account. */
export const home = (deps: Deps) => (req: Request) => {
  const person = req.visitor.person
  if (person) return redirect(firstPage[person.role])
  return redirect(deps.storage.people.count() === 0 ? '/setup' : '/sign-in')
}
