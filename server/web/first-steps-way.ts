import { may } from '../auth/roles.ts'
import { person, type Request } from './host/request.ts'

/** From an empty list to what fills it; null for who can't. */
export function firstStepsWay(req: Request): { href: string; text: string } | null {
  return may(person(req).role, 'look after the depot') ? { href: '/first-steps', text: 'First steps' } : null
}
