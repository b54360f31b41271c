// Who is at work while a request is handled, for the trail; without handing it through every call.

import { AsyncLocalStorage } from 'node:async_hooks'

export interface Actor {
  personId: string | null
  tabletId: string | null
}

const nobody: Actor = { personId: null, tabletId: null }
const afterWaiting = new AsyncLocalStorage<Actor>()
let present: Actor | null = null
let waiting = 0

/** Whatever `fn` writes before it returns is by this person from this tablet. */
export function actAs<T>(actor: Actor, fn: () => T): T {
  const before = present
  present = actor
  try {
    return fn()
  } finally {
    present = before
  }
}

/**
 * Whatever `fn` writes, also after it has waited, is by this person from this tablet. To follow them through their waits
 * slows down everything the program does by a tenth, so it is done only for as long as there is anybody to follow.
 */
export async function actAsThroughout<T>(actor: Actor, fn: () => Promise<T>): Promise<T> {
  waiting += 1
  try {
    return await afterWaiting.run(actor, fn)
  } finally {
    waiting -= 1
    if (waiting === 0) afterWaiting.disable()
  }
}

/** Nobody, when the program itself is at work. */
export function actor(): Actor {
  return present ?? afterWaiting.getStore() ?? nobody
}
