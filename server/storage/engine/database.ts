import Sqlite from 'better-sqlite3'

export type Database = Sqlite.Database

/** Opens (or makes) the database file; `:memory:` for one that goes with the process. Writes nothing to the file. */
export function openDatabase(path: string): Database {
  const db = new Sqlite(path)
  db.pragma('foreign_keys = ON')
  db.pragma('synchronous = FULL') // an acknowledged finding survives a power cut
  db.pragma('busy_timeout = 5000')
  db.pragma('temp_store = MEMORY')
  db.pragma('recursive_triggers = ON') // so that a row pushed out by REPLACE meets the delete trigger
  return db
}

/** Readers beside a writer. Written into the file, so only once the file is known to be ours to write. */
export function keepWriteAheadLog(db: Database): void {
  db.pragma('journal_mode = WAL')
}

/** Whether a write failed because another row has the same key. */
export function isTaken(error: unknown): boolean {
  return (
    error instanceof Sqlite.SqliteError &&
    (error.code === 'SQLITE_CONSTRAINT_UNIQUE' || error.code === 'SQLITE_CONSTRAINT_PRIMARYKEY')
  )
}
