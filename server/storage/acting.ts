// Who is at work while a request is handled, for the trail; without handing it through every call.

import { AsyncLocalStorage } from 'node:async_hooks'

export interface Actor {
  personId: string | null
  tabletId: string | null
}

const nobody: Actor = { personId: null, tabletId: null }
const present = new AsyncLocalStorage<Actor>()

/** Whatever `fn` writes, also after it has waited, is by this person from this tablet. */
export function actAs<T>(actor: Actor, fn: () => T): T {
  return present.run(actor, fn)
}

/** Nobody, when the program itself is at work. */
export function actor(): Actor {
  return present.getStore() ?? nobody
}
