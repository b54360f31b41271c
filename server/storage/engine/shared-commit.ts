// One commit for what the requests of one turn of the event loop record: the disk takes as long for one as for many. Each
// write is a savepoint of its own, so one that fails is taken back alone. Nobody may be told of a write, or shown what
// somebody else wrote, before the commit has succeeded.

import { atEndOfTurn } from '#platform'
import type { Database } from './database.ts'

/** Told once, when everything written meanwhile is on disk (null), or was lost by this error. */
export type Told = (lost: { error: unknown } | null) => void

export interface SharedCommit {
  /** What `fn` writes before it waits for anything is committed at the end of the turn; its answer is held with `watch`. */
  share<T>(fn: () => T): T
  /** From here on: gives what an answer that may tell of writes is to be held with. */
  watch(): (told: Told) => void
  /** Commits what waits, now rather than at the end of the turn. */
  settle(): void
  /** All or nothing. On disk when this returns, unless it is shared. */
  write<T>(fn: () => T): T
}

/** `takenBack` is called when what was written before is lost. */
export function createSharedCommit(db: Database, takenBack: () => void): SharedCommit {
  const begin = db.prepare('BEGIN IMMEDIATE')
  const commit = db.prepare('COMMIT')
  const rollback = db.prepare('ROLLBACK')
  const transact = db.transaction((fn: () => unknown) => fn())
  let waiting: (() => void)[] = []
  let sharing = false
  let open = false
  let losses = 0
  let lastLoss: { error: unknown } | null = null

  function settle(): void {
    if (!open) return
    try {
      commit.run()
    } catch (error) {
      lose(error)
    }
    tellAll()
  }

  function lose(error: unknown): void {
    if (db.inTransaction) rollback.run()
    losses += 1
    lastLoss = { error }
    takenBack()
  }

  function tellAll(): void {
    const told = waiting
    waiting = []
    open = false
    for (const one of told) one()
  }

  function tell(told: Told, before: number): void {
    told(losses === before ? null : lastLoss)
  }

  function join(): void {
    if (open) return
    begin.run()
    open = true
    atEndOfTurn(settle)
  }

  /** What somebody writes alone must not stand on what is lost. */
  function settleFirst(): void {
    const before = losses
    settle()
    if (losses !== before) throw lastLoss?.error
  }

  return {
    settle,

    share(fn) {
      sharing = true
      try {
        return fn()
      } finally {
        sharing = false
      }
    },

    watch() {
      const before = losses
      return told => {
        if (open) waiting.push(() => tell(told, before))
        else tell(told, before)
      }
    },

    write<T>(fn: () => T): T {
      if (sharing) join()
      else settleFirst()
      try {
        return transact.immediate(fn) as T
      } catch (error) {
        // A full disk may have taken back more than the savepoint.
        if (open && !db.inTransaction) {
          lose(error)
          tellAll()
        }
        throw error
      }
    },
  }
}
