// Who the present request is from, for the trail; without passing it through every call.

import { createAsyncContext } from '#platform'

export interface Actor {
  personId: string | null
  tabletId: string | null
  /** When it was done, where that was before it arrived; UTC ISO text. */
  doneAt?: string
  /** Of what arrived late: the record may have moved on since. */
  late?: Late
}

export interface Late {
  /** UTC ISO text. */
  arrivedAt: string
  /** Ids of rows that are on record and were not on the tablet. */
  unseen: string[]
  /** Tried only: also what nothing can be added to. */
  alsoClosed?: boolean
}

const program: Actor = { personId: null, tabletId: null }
const asynchronous = createAsyncContext<Actor>()
let synchronous: Actor | null = null

/** What `fn` writes before it returns is recorded as this person's, from this tablet. */
export function actAs<T>(actor: Actor, fn: () => T): T {
  const outer = synchronous
  synchronous = actor
  try {
    return fn()
  } finally {
    synchronous = outer
  }
}

/** What `fn` writes, also after it has waited, is recorded as this person's, from this tablet. */
export function actAsThroughout<T>(actor: Actor, fn: () => Promise<T>): Promise<T> {
  return asynchronous.run(actor, fn)
}

/** Without a person and a tablet when the program itself writes. */
export function actor(): Actor {
  return synchronous ?? asynchronous.current() ?? program
}

/** Tells the time of the act that is being recorded: when it was done, where it arrived late; else what `clock` says. */
export function clockOfActs(clock: () => Date): () => Date {
  return () => {
    const { doneAt } = actor()
    return doneAt === undefined ? clock() : new Date(doneAt)
  }
}
