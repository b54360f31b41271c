// Opening the database on a server: the only file that loads better-sqlite3.

import Sqlite from 'better-sqlite3'

export type Database = Sqlite.Database

/**
 * Opens (or makes) the database file and writes nothing to it; `:memory:` for one that goes with the process, and so is
 * one opened from the bytes of a file.
 */
export function openDatabase(pathOrBytes: string | Buffer): Database {
  const db = new Sqlite(pathOrBytes)
  db.pragma('foreign_keys = ON')
  db.pragma('synchronous = FULL') // an acknowledged finding survives a power cut
  db.pragma('busy_timeout = 5000')
  db.pragma('temp_store = MEMORY')
  db.pragma('recursive_triggers = ON') // so that a row pushed out by REPLACE meets the delete trigger
  return db
}

/**
 * How long a write of a request waits for another program's lock, in ms. Everybody waits with it, so it is short; what
 * could not be written is sent again.
 */
export function waitBriefly(db: Database, ms = 250): void {
  db.pragma(`busy_timeout = ${ms}`)
}

/** Opens a file with SQLite's own settings: a backup, or a database that may be damaged. */
export function openPlain(path: string, options: Sqlite.Options = {}): Database {
  return new Sqlite(path, options)
}
