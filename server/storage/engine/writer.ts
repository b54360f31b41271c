// Writing once, at one moment, all or nothing.

import { AppError } from '../../errors.ts'
import { actor } from './acting.ts'
import { withPatience } from './patience.ts'
import { SharedCommit } from './shared-commit.ts'
import { type Connection, inTransaction, isTaken } from './sql.ts'
import { recorderOf, type TrailRecorder } from './trail-recorder.ts'
import { storageTrouble } from './trouble.ts'

/** `repeated`: this id was written before with the same content, and nothing was written now. */
export interface Written {
  repeated: boolean
}

/** Omit that keeps the members of a union apart. */
type Without<T, K extends string> = T extends unknown ? Omit<T, K> : never

/** A row to write: without what storage fills in. `at` is now unless given. */
export type New<T> = Without<T, 'byName' | 'seq' | 'at'> & { faultId: string; at?: string }

export interface Writer {
  db: Connection
  trail: TrailRecorder
  commits: SharedCommit
  /** The moment given, or now; one moment for the whole of a transaction. 'invalid' when it is no time. */
  moment(given?: string): string
  /** Runs `fn` in a transaction that no other write comes between. Calls may nest; `fn` must not be async. */
  write<T>(fn: () => T): T
  /**
   * As `write`, without waiting for the disk: for what counts only once a later write, which waits, has put it in force.
   * Not within another write.
   */
  writeAhead<T>(fn: () => T): T
  /** As `once` below. */
  once: typeof once
}

/** `mayCommit` as SharedCommit takes it. */
export function createWriter(db: Connection, clock: () => Date, mayCommit = () => {}): Writer {
  const trail = recorderOf(db)
  const commits = new SharedCommit(db, trail.rolledBack, mayCommit)
  const transactions = createTransactions(db, { trail, commits, clock })
  const { write } = transactions
  return { db, trail, commits, once, writeAhead: fn => ahead(db, commits, () => write(fn)), ...transactions }
}

interface Transactions {
  trail: TrailRecorder
  commits: SharedCommit
  clock: () => Date
}

function createTransactions(
  db: Connection,
  { trail, commits, clock }: Transactions,
): Pick<Writer, 'write' | 'moment'> {
  let now: string | null = null

  function write<T>(fn: () => T): T {
    if (now !== null) return writeNested(db, trail, fn)
    const arrived = clock().toISOString()
    now = actor().doneAt ?? arrived
    trail.begin()
    try {
      const sealed = () => {
        const result = fn()
        trail.seal(arrived) // the trail tells when we learnt of it
        return result
      }
      return withPatience(db, () => commits.write(sealed))
    } catch (error) {
      trail.abort()
      throw error
    } finally {
      now = null
      trail.end()
    }
  }

  return {
    write,
    moment: given => (given === undefined ? (now ?? actor().doneAt ?? clock().toISOString()) : utc(given)),
  }
}

/** In WAL mode the log is written in order, so a commit that waits for the disk takes with it all that went before. */
function ahead<T>(db: Connection, commits: SharedCommit, write: () => T): T {
  commits.settle() // what technicians recorded waits for the disk
  db.pragma('synchronous = NORMAL')
  db.pragma('wal_autocheckpoint = 200') // little at a time, so that none takes long
  try {
    return write()
  } finally {
    db.pragma('wal_autocheckpoint = 1000') // SQLite's own
    db.pragma('synchronous = FULL')
  }
}

/** A part that fails is rolled back alone, with what was recorded of it. */
function writeNested<T>(db: Connection, trail: TrailRecorder, fn: () => T): T {
  const before = trail.pending()
  try {
    return inTransaction(db)(fn) as T
  } catch (error) {
    if (trail.pending() > before) trail.rolledBack()
    trail.drop(before)
    throw error
  }
}

/**
 * Inserts the row unless it is there already: `stored` is what stands under its id. 'conflict' when that says something
 * else, and when another key of the row is taken.
 */
function once(stored: object | undefined, row: object, insert: () => void): Written {
  if (stored !== undefined) {
    mustSayTheSame(stored, row)
    return { repeated: true }
  }
  try {
    insert()
  } catch (error) {
    if (isTaken(error))
      throw new AppError('conflict', 'Something else on record has the same name or number.')
    throw error
  }
  return { repeated: false }
}

function mustSayTheSame(stored: object, row: object): void {
  const sent = new Map<string, unknown>(Object.entries(row))
  for (const [name, value] of Object.entries(stored)) {
    if (value === (sent.get(name) ?? null)) continue
    throw new AppError(
      'conflict',
      'This was already recorded with other content. Go back and look at the record.',
    )
  }
}

/** The time as UTC ISO 8601 text with milliseconds, so that text order is time order. 'invalid' when it is no time. */
export function utc(text: string): string {
  const time = Date.parse(text)
  if (Number.isNaN(time)) throw new AppError('invalid', `“${text}” is not a time.`)
  return new Date(time).toISOString()
}

/**
 * Writes what only accompanies a page: who was seen last, what a tablet's clock said. A power cut loses a minute of a
 * session at most, so nothing waits for the disk; and where the disk takes no more, the page can still be read.
 */
export function writeUnsynced(db: Connection, write: () => void): void {
  if (db.inTransaction) {
    write()
    return
  }
  db.pragma('synchronous = NORMAL')
  try {
    withPatience(db, write)
  } catch (error) {
    if (storageTrouble(error) === null) throw error
  } finally {
    db.pragma('synchronous = FULL')
  }
}
