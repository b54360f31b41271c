// One commit for what the requests of one turn of the event loop write: the disk takes as long for one as for many. Each
// write is a savepoint of its own, so one that fails is rolled back alone. Nobody may be told of a write, or shown what
// another request wrote, before the commit has succeeded.

import { atEndOfTurn } from '#platform'
import { type Connection, inTransaction, sql } from './sql.ts'

/** Called once, when everything written meanwhile is on disk (null), or was lost by this error. */
export type Told = (lost: { error: unknown } | null) => void

const begin = sql('BEGIN IMMEDIATE')
const commit = sql('COMMIT')
const rollback = sql('ROLLBACK')

export class SharedCommit {
  readonly #db: Connection
  readonly #rolledBack: () => void
  readonly #mayCommit: () => void
  #waiting: (() => void)[] = []
  #sharing = false
  #open = false
  #losses = 0
  #lastLoss: { error: unknown } | null = null

  /**
   * `rolledBack` is called when what was written before is lost. `mayCommit` throws when what is written would be lost;
   * it is asked before each commit.
   */
  constructor(db: Connection, rolledBack: () => void, mayCommit: () => void) {
    this.#db = db
    this.#rolledBack = rolledBack
    this.#mayCommit = mayCommit
  }

  /** What `fn` writes before it waits for anything is committed at the end of the turn; its answer is held with `watch`. */
  share<T>(fn: () => T): T {
    this.#sharing = true
    try {
      return fn()
    } finally {
      this.#sharing = false
    }
  }

  /** Begins to watch; gives the function with which an answer that may tell of writes is held. */
  watch(): (told: Told) => void {
    const before = this.#losses
    return told => {
      const tell = () => told(this.#losses === before ? null : this.#lastLoss)
      if (this.#open) this.#waiting.push(tell)
      else tell()
    }
  }

  /** Commits what waits, now rather than at the end of the turn. */
  settle(): void {
    if (!this.#open) return
    try {
      this.#mayCommit()
      commit(this.#db).run()
    } catch (error) {
      this.#lose(error)
    }
    this.#tellAll()
  }

  /** All or nothing. On disk when this returns, unless it is shared. */
  write<T>(fn: () => T): T {
    const shared = this.#sharing
    if (shared) this.#join()
    else this.#settleFirst()
    try {
      return inTransaction(this.#db).immediate(shared ? fn : () => this.#checked(fn)) as T
    } catch (error) {
      // A full disk may have rolled back more than the savepoint.
      if (this.#open && !this.#db.inTransaction) {
        this.#lose(error)
        this.#tellAll()
      }
      throw error
    }
  }

  #checked<T>(fn: () => T): T {
    const result = fn()
    this.#mayCommit()
    return result
  }

  #join(): void {
    if (this.#open) return
    begin(this.#db).run()
    this.#open = true
    atEndOfTurn(() => this.settle())
  }

  /** A write that is not shared must not build on one that is then lost. */
  #settleFirst(): void {
    const before = this.#losses
    this.settle()
    if (this.#losses !== before) throw this.#lastLoss?.error
  }

  #lose(error: unknown): void {
    if (this.#db.inTransaction) rollback(this.#db).run()
    this.#losses += 1
    this.#lastLoss = { error }
    this.#rolledBack()
  }

  #tellAll(): void {
    const waiting = this.#waiting
    this.#waiting = []
    this.#open = false
    for (const tell of waiting) tell()
  }
}
