// Writing once, at one moment, all or nothing.

import { AppError } from '../../errors.ts'
import { type Database, isTaken } from './database.ts'
import { createSharedCommit, type SharedCommit } from './shared-commit.ts'
import { keepTrail, type TrailKeeper } from './trail-keeper.ts'

/** `repeated`: this id was written before with the same content, and nothing was written now. */
export interface Written {
  repeated: boolean
}

/** Omit that keeps the members of a union apart. */
type Without<T, K extends string> = T extends unknown ? Omit<T, K> : never

/** A row to write: without what storage fills in. `at` is now unless given. */
export type New<T> = Without<T, 'byName' | 'seq' | 'at'> & { faultId: string; at?: string }

export interface Writer {
  db: Database
  trail: TrailKeeper
  commits: SharedCommit
  /** The moment given, or now; one moment for the whole of a transaction. 'invalid' when it is no time. */
  moment(given?: string): string
  /** Runs `fn` in a transaction that nobody else's write comes between. Calls may nest; `fn` must not be async. */
  write<T>(fn: () => T): T
  /** Writes the row unless it is there already. 'conflict' when its id, or another key of it, is taken by something else. */
  once(known: object | undefined, row: object, insert: () => void): Written
}

export function createWriter(db: Database, clock: () => Date): Writer {
  let now: string | null = null
  const trail = keepTrail(db)
  const commits = createSharedCommit(db, trail.takenBack)
  const transact = db.transaction((fn: () => unknown) => fn())

  function write<T>(fn: () => T): T {
    if (now !== null) return within(fn)
    const at = clock().toISOString()
    let wrote = false
    const sealed = () => {
      const result = fn()
      wrote = trail.waiting() > 0
      trail.seal(at)
      return result
    }
    now = at
    trail.open(true)
    try {
      return commits.write(sealed)
    } catch (error) {
      if (wrote || trail.waiting() > 0) trail.takenBack()
      throw error
    } finally {
      now = null
      trail.open(false)
      trail.drop(0)
    }
  }

  /** A part that fails is taken back alone, with what was noted of it. */
  function within<T>(fn: () => T): T {
    const before = trail.waiting()
    try {
      return transact(fn) as T
    } catch (error) {
      if (trail.waiting() > before) trail.takenBack()
      trail.drop(before)
      throw error
    }
  }

  return {
    db,
    trail,
    commits,
    write,
    moment: given => (given === undefined ? (now ?? clock().toISOString()) : utc(given)),
    once(known, row, insert) {
      if (isRepeat(known, row)) return { repeated: true }
      try {
        insert()
      } catch (error) {
        if (isTaken(error))
          throw new AppError('conflict', 'Something else on record has the same name or number.')
        throw error
      }
      return { repeated: false }
    },
  }
}

/** The time as UTC ISO 8601 text with milliseconds, so that text order is time order. 'invalid' when it is no time. */
export function utc(text: string): string {
  const time = Date.parse(text)
  if (Number.isNaN(time)) throw new AppError('invalid', `“${text}” is not a time.`)
  return new Date(time).toISOString()
}

/** Whether `known`, what is stored under the row's id, says the same. 'conflict' when it says anything else. */
function isRepeat(known: object | undefined, row: object): boolean {
  if (known === undefined) return false
  const sent = new Map<string, unknown>(Object.entries(row))
  for (const [name, value] of Object.entries(known)) {
    if (value === (sent.get(name) ?? null)) continue
    throw new AppError(
      'conflict',
      'This was already recorded with other content. Go back and look at the record.',
    )
  }
  return true
}
