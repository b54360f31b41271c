// The database moves forward only: each migration once, in order, in one transaction with its record.

import { sha256 } from '#platform'
import type { Connection } from './sql.ts'

/** `name` is the file's, `0001-first-tables`. */
export interface Migration {
  name: string
  sql: string
}

/** The message is one line for the person who started the program. */
export class MigrationError extends Error {}
export class NewerDatabaseError extends MigrationError {}

/** How many migrations the database has had; 0 for an empty file. */
export function schemaVersion(db: Connection): number {
  return recorded(db).length
}

/**
 * Brings the database up to the last of `migrations`; `now` is recorded as the time of it. Throws MigrationError, with
 * nothing written, when the database has migrations this program doesn't have, was made with others, or is not one of
 * ours; and when a migration fails, with the database as it was before that migration.
 */
export function migrate(db: Connection, migrations: Migration[], now: string): void {
  refuseOthers(db, migrations)
  db.pragma('journal_mode = WAL') // written into the file, so only now that it is known to be ours
  for (const [index, migration] of migrations.entries()) apply(db, migration, index + 1, now)
  forgetSamples(db)
}

/**
 * An ANALYZE by another tool leaves samples of the columns, and with samples SQLite plans a statement anew for every
 * value it is run with, which made each write half as long again. What else was counted stays.
 */
function forgetSamples(db: Connection): void {
  const table = db.prepare("SELECT 1 FROM sqlite_schema WHERE name = 'sqlite_stat4'").get()
  if (table === undefined || db.prepare('SELECT 1 FROM sqlite_stat4').get() === undefined) return
  db.exec('DELETE FROM sqlite_stat4; ANALYZE sqlite_schema') // the second reads what was counted again
}

interface Recorded {
  number: number
  name: string
  sha256: string
}

function recorded(db: Connection): Recorded[] {
  const table = db.prepare("SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'migrations'").get()
  if (table === undefined) return []
  return db.prepare<[], Recorded>('SELECT number, name, sha256 FROM migrations ORDER BY number').all()
}

function refuseOthers(db: Connection, migrations: Migration[]): void {
  const had = recorded(db)
  if (had.length > migrations.length) {
    throw new NewerDatabaseError(
      `The database is newer than this program (version ${had.length}; the program knows ${migrations.length}). ` +
        'Nothing was changed. Start the newer program, or restore the copy made before it.',
    )
  }
  if (had.length === 0 && db.prepare('SELECT 1 FROM sqlite_schema').get() !== undefined) {
    throw new MigrationError('The database file holds other tables and no migrations. Nothing was changed.')
  }
  for (const [index, { name, sha256 }] of had.entries()) {
    const ours = migrations[index]
    if (ours?.name === name && hash(ours.sql) === sha256) continue
    throw new MigrationError(
      `The database was made with another migration ${name} than this program has. Nothing was changed.`,
    )
  }
}

function apply(db: Connection, { name, sql }: Migration, number: number, now: string): void {
  db.pragma('foreign_keys = OFF') // so that a migration may rebuild a table; checked before the commit
  const inOne = db.transaction(() => {
    db.exec(RECORDS)
    if (db.prepare('SELECT 1 FROM migrations WHERE number = ?').get(number) !== undefined) return
    db.exec(sql)
    const broken = db.pragma('foreign_key_check') as unknown[]
    if (broken.length > 0) throw new Error(`${broken.length} rows point at nothing`)
    db.prepare('INSERT INTO migrations (number, name, sha256, applied_at) VALUES (?, ?, ?, ?)').run(
      number,
      name,
      hash(sql),
      now,
    )
  })
  try {
    inOne.immediate()
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error)
    throw new MigrationError(`Migration ${name} failed and was taken back: ${why}.`, { cause: error })
  } finally {
    db.pragma('foreign_keys = ON')
  }
}

const RECORDS = `
  CREATE TABLE IF NOT EXISTS migrations (
    number     INTEGER NOT NULL PRIMARY KEY,
    name       TEXT NOT NULL UNIQUE,
    sha256     TEXT NOT NULL,
    applied_at TEXT NOT NULL
  ) STRICT`

function hash(sql: string): string {
  return sha256(sql.replaceAll('\r\n', '\n'))
}
