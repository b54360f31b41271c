// SQLite in WebAssembly as storage knows a connection: the part of better-sqlite3 that it uses, and its names for errors.

import type { Database, PreparedStatement, Sqlite3Static, SqlValue } from '@sqlite.org/sqlite-wasm'
import type { Connection } from '../storage/engine/sql.ts'

type Row = Record<string, unknown> | unknown[] | unknown
type Shape = 'object' | 'value' | 'list'

/** A database in memory, with what else only a tablet does with it. */
export interface TabletDatabase extends Connection {
  /** Its whole content, to be opened again. */
  bytes(): Uint8Array
  /** Runs `fn` with the triggers of the tables switched off. */
  withoutTriggers(fn: () => void): void
  close(): void
}

/**
 * Opens an empty database, or the content that `bytes` gave, with the settings of the depot's. Statements throw errors
 * whose `code` is SQLite's name of what went wrong, such as SQLITE_CONSTRAINT_UNIQUE.
 */
export function openInMemory(sqlite3: Sqlite3Static, bytes?: Uint8Array): TabletDatabase {
  const db = new sqlite3.oo1.DB(':memory:')
  if (bytes) deserialize(sqlite3, db, bytes)
  db.exec('PRAGMA foreign_keys = ON; PRAGMA temp_store = MEMORY; PRAGMA recursive_triggers = ON')
  return connectionOf(sqlite3, db)
}

function deserialize({ capi, wasm }: Sqlite3Static, db: Database, bytes: Uint8Array): void {
  if (db.pointer === undefined) throw new Error('the database is closed')
  const place = wasm.allocFromTypedArray(bytes)
  const flags = capi.SQLITE_DESERIALIZE_FREEONCLOSE | capi.SQLITE_DESERIALIZE_RESIZEABLE
  db.checkRc(capi.sqlite3_deserialize(db.pointer, 'main', place, bytes.length, bytes.length, flags))
}

function connectionOf(sqlite3: Sqlite3Static, db: Database): TabletDatabase {
  const named = <T>(fn: () => T): T => withCode(sqlite3, fn)
  const inTransaction = () => db.pointer !== undefined && !sqlite3.capi.sqlite3_get_autocommit(db.pointer)
  const connection = {
    get inTransaction() {
      return inTransaction()
    },
    prepare: (text: string) => named(() => new Statement(sqlite3, db, text)),
    exec: (text: string): unknown => {
      named(() => db.exec(text))
      return connection
    },
    pragma: (text: string, { simple = false } = {}) => {
      const statement = new Statement(sqlite3, db, `PRAGMA ${text}`)
      try {
        return simple ? statement.pluck().get() : statement.all()
      } finally {
        statement.finalize()
      }
    },
    function(name: string, options: unknown, given?: (...args: unknown[]) => unknown) {
      const fn = given ?? (options as (...args: unknown[]) => unknown)
      db.createFunction(name, (_context: unknown, ...args: unknown[]) => (fn(...args) ?? null) as never, {
        arity: -1,
      })
      return connection
    },
    transaction: (fn: (...args: unknown[]) => unknown) => transactionOf(connection, inTransaction, fn),
    withoutTriggers: (fn: () => void) => withoutTriggers(sqlite3, db, fn),
    bytes: () => sqlite3.capi.sqlite3_js_db_export(db),
    close: () => db.close(),
  }
  return connection as unknown as TabletDatabase
}

function withoutTriggers({ capi }: Sqlite3Static, db: Database, fn: () => void): void {
  const set = (on: number) => {
    if (db.pointer !== undefined)
      capi.sqlite3_db_config(db.pointer, capi.SQLITE_DBCONFIG_ENABLE_TRIGGER, on, 0)
  }
  set(0)
  try {
    fn()
  } finally {
    set(1)
  }
}

type Exec = { exec: (text: string) => unknown }

/** Runs `fn` in a transaction, or in a savepoint of the one that is open; what it throws rolls that back. */
function transactionOf(db: Exec, isOpen: () => boolean, fn: (...args: unknown[]) => unknown) {
  const run =
    (begin: string) =>
    (...args: unknown[]) => {
      const inside = isOpen()
      db.exec(inside ? 'SAVEPOINT part' : begin)
      try {
        const result = fn(...args)
        db.exec(inside ? 'RELEASE part' : 'COMMIT')
        return result
      } catch (error) {
        if (isOpen()) db.exec(inside ? 'ROLLBACK TO part; RELEASE part' : 'ROLLBACK')
        throw error
      }
    }
  return Object.assign(run('BEGIN'), {
    default: run('BEGIN'),
    deferred: run('BEGIN'),
    immediate: run('BEGIN IMMEDIATE'),
    exclusive: run('BEGIN EXCLUSIVE'),
  })
}

class Statement {
  readonly #sqlite3: Sqlite3Static
  readonly #db: Database
  readonly #text: string
  readonly #statement: PreparedStatement
  readonly #parameters: string[]
  #shape: Shape = 'object'
  #busy = false

  constructor(sqlite3: Sqlite3Static, db: Database, text: string) {
    this.#sqlite3 = sqlite3
    this.#db = db
    this.#text = text
    this.#statement = db.prepare(text)
    const { capi } = sqlite3
    const pointer = this.#statement.pointer
    this.#parameters =
      pointer === undefined
        ? []
        : Array.from({ length: this.#statement.parameterCount }, (_, at) =>
            String(capi.sqlite3_bind_parameter_name(pointer, at + 1) ?? ''),
          )
  }

  pluck(): this {
    this.#shape = 'value'
    return this
  }

  raw(): this {
    this.#shape = 'list'
    return this
  }

  get(...given: unknown[]): Row | undefined {
    return this.#reading(given, statement => (statement.step() ? this.#row(statement) : undefined))
  }

  all(...given: unknown[]): Row[] {
    return this.#reading(given, statement => {
      const rows: Row[] = []
      while (statement.step()) rows.push(this.#row(statement))
      return rows
    })
  }

  iterate(...given: unknown[]): IterableIterator<Row> {
    return this.all(...given).values()
  }

  run(...given: unknown[]): { changes: number; lastInsertRowid: number | bigint } {
    return this.#reading(given, statement => {
      while (statement.step());
      const changes = Number(this.#db.changes())
      return { changes, lastInsertRowid: 0 }
    })
  }

  finalize(): void {
    this.#statement.finalize()
  }

  /** A statement that is stepped through just now is run again from a second one: a trigger may come back to it. */
  #reading<T>(given: unknown[], read: (statement: PreparedStatement) => T): T {
    return withCode(this.#sqlite3, () => {
      const again = this.#busy
      const statement = again ? this.#db.prepare(this.#text) : this.#statement
      this.#busy = true
      try {
        this.#bind(statement, given)
        return read(statement)
      } finally {
        if (again) statement.finalize()
        else {
          leave(statement)
          this.#busy = false
        }
      }
    })
  }

  #bind(statement: PreparedStatement, given: unknown[]): void {
    const [first] = given
    const named = isNamed(first) ? first : null
    this.#parameters.forEach((parameter, at) => {
      const value = named ? named[parameter.slice(1)] : given[at]
      if (named && !Object.hasOwn(named, parameter.slice(1)))
        throw new RangeError(`Missing named parameter "${parameter.slice(1)}"`)
      statement.bind(at + 1, (value ?? null) as SqlValue)
    })
  }

  #row(statement: PreparedStatement): Row {
    if (this.#shape === 'value') return statement.get(0)
    return this.#shape === 'list' ? statement.get([]) : statement.get({})
  }
}

/** Makes a statement ready for its next run. */
function leave(statement: PreparedStatement): void {
  try {
    statement.reset(true)
  } catch {
    // It says again what its last step threw.
  }
}

function isNamed(value: unknown): value is Record<string, unknown> {
  return (
    typeof value === 'object' && value !== null && !Array.isArray(value) && !(value instanceof Uint8Array)
  )
}

/** Errors of SQLite bear its name for them, as better-sqlite3's do. */
function withCode<T>({ capi, SQLite3Error }: Sqlite3Static, fn: () => T): T {
  try {
    return fn()
  } catch (error) {
    if (error instanceof SQLite3Error && !('code' in error))
      Object.assign(error, { code: capi.sqlite3_js_rc_str(error.resultCode) ?? 'SQLITE_ERROR' })
    throw error
  }
}
