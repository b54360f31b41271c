// Authorisation by role, enforced on the server: a page that hides a button is a courtesy. The person who releases held
// evidence or overrides a fit is not the one who attends the fault.

import type { Role } from '../storage/storage.ts'

const rights = {
  technician: ['report faults', 'attend faults', 'carry out actions'],
  engineer: [
    'report faults',
    'carry out actions',
    'look after the depot',
    'release evidence',
    'override a fit',
    'write knowledge',
    'review knowledge',
    'publish knowledge',
    'manage people',
  ],
  // No role approves its own words: the proposal records who wrote in it.
  author: ['write knowledge', 'review knowledge', 'publish knowledge'],
  reviewer: ['review knowledge'],
} as const satisfies Record<Role, readonly string[]>

export type Right = (typeof rights)[Role][number]

export const roles = ['technician', 'engineer', 'author', 'reviewer'] as const satisfies readonly Role[]

export function may(role: Role, right: Right): boolean {
  const allowed: readonly Right[] = rights[role]
  return allowed.includes(right)
}
