import path from 'node:path'
import { type Database, openDatabase } from '../../server/storage/engine/database.ts'
import { migrate } from '../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../server/storage/engine/migration-files.ts'

export const migrations = readMigrations(path.join(import.meta.dirname, '../../migrations'))
const templates = new Map<string, Buffer>()

/**
 * A database with all its tables and no rows, migrated at the given time. One in memory is a copy of one that was
 * migrated before, as most tests begin with one.
 */
export function migratedDatabase(at: string, file = ':memory:'): Database {
  if (file !== ':memory:') {
    const db = openDatabase(file)
    migrate(db, migrations, at)
    return db
  }
  const bytes = templates.get(at) ?? template(at)
  templates.set(at, bytes)
  return openDatabase(bytes)
}

function template(at: string): Buffer {
  const db = openDatabase(':memory:')
  migrate(db, migrations, at)
  const bytes = db.serialize()
  db.close()
  return bytes
}
