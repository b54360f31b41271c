// Statements stand at the top of the file that uses them, and are prepared for a connection when they are first run on it.

import type Sqlite from 'better-sqlite3'

/** What storage asks of a connection to the database; better-sqlite3's fits. */
export type Connection = Pick<
  Sqlite.Database,
  'prepare' | 'exec' | 'pragma' | 'function' | 'transaction' | 'inTransaction'
>

/** `P`: the parameters, as a list or by name. `R`: a row. */
export type Query<P extends unknown[] | object = unknown[], R = unknown> = (
  db: Connection,
) => P extends unknown[] ? Sqlite.Statement<P, R> : Sqlite.Statement<[P], R>

/** A statement: `names(db).all()`. Throws what SQLite throws when the text is wrong. */
export function sql<P extends unknown[] | object = unknown[], R = unknown>(text: string): Query<P, R> {
  return prepareOnce(db => db.prepare<P, R>(plannedOnce(text))) as Query<P, R>
}

/** A statement that gives the value of its first column in place of each row. */
export function scalar<P extends unknown[] | object = unknown[], R = unknown>(text: string): Query<P, R> {
  return prepareOnce(db => db.prepare<P, R>(plannedOnce(text)).pluck()) as Query<P, R>
}

/** A statement that gives each row as a list of its values. */
export function tuples<P extends unknown[] | object = unknown[], R = unknown>(text: string): Query<P, R> {
  return prepareOnce(db => db.prepare<P, R>(plannedOnce(text)).raw()) as Query<P, R>
}

/** Runs `fn` in a transaction, or in a savepoint of the one that is open. */
export const inTransaction: (db: Connection) => Sqlite.Transaction<(fn: () => unknown) => unknown> =
  prepareOnce(db => db.transaction((fn: () => unknown) => fn()))

function prepareOnce<S extends object>(prepare: (db: Connection) => S): (db: Connection) => S {
  const prepared = new WeakMap<Connection, S>()
  return db => {
    const existing = prepared.get(db)
    if (existing !== undefined) return existing
    const statement = prepare(db)
    prepared.set(db, statement)
    return statement
  }
}

/**
 * The text with a plus before each parameter that is compared. It changes nothing of the result. Without it SQLite may
 * think that its plan hangs on the value, and prepares the whole statement again each time a value is bound, which takes
 * ten to forty times as long as the statement ("Query Planner Stability Guarantee" in SQLite's documentation is the
 * switch for this, which no connection of ours can reach).
 */
function plannedOnce(text: string): string {
  return text.replace(/([=<>]\s*)([?@])/g, '$1+$2')
}

/** SQL for the next number within rows of the same `key`. */
export function nextSeq(table: string, key: string, parameter: string): string {
  return `(SELECT coalesce(max(seq), 0) + 1 FROM ${table} WHERE ${key} = ${parameter})`
}

/** Whether a write failed because another row has the same key. */
export function isTaken(error: unknown): boolean {
  const code = sqliteCode(error)
  return code === 'SQLITE_CONSTRAINT_UNIQUE' || code === 'SQLITE_CONSTRAINT_PRIMARYKEY'
}

/** SQLite's name for what went wrong, such as SQLITE_FULL; null when the error is not SQLite's. */
export function sqliteCode(error: unknown): string | null {
  if (!(error instanceof Error) || !('code' in error) || typeof error.code !== 'string') return null
  return error.code.startsWith('SQLITE_') ? error.code : null
}
