import type { Deps } from './deps.ts'
import { missingSteps } from './engineer/first-steps/steps.ts'
import { redirect } from './host/answer.ts'
import type { Request } from './host/request.ts'

const firstPage = {
  technician: '/faults',
  engineer: '/open',
  author: '/knowledge',
  reviewer: '/knowledge',
} as const

/** Each kind of user begins on their own page, an engineer on the first steps until all are done; a database without people begins with the first account. */
export const home = (deps: Deps) => (req: Request) => {
  const person = req.visitor.person
  if (person?.role === 'engineer' && missingSteps(deps, req.origin).length > 0)
    return redirect('/first-steps')
  if (person) return redirect(firstPage[person.role])
  return redirect(deps.storage.people.count() === 0 ? '/setup' : '/sign-in')
}
