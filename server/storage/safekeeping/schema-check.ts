// Whether the database's tables, indexes and triggers are those that its migrations make.

import { openPlain } from '../engine/database.ts'
import { type Migration, migrate, schemaVersion } from '../engine/migrate.ts'
import type { Connection } from '../engine/sql.ts'

/** One line for each that is missing, another's or not as it was made. Reads only. */
export function schemaProblems(db: Connection, migrations: Migration[]): string[] {
  const version = schemaVersion(db)
  if (version > migrations.length)
    return [`The database is newer than this program (version ${version}): its tables can’t be compared.`]
  const is = schemaOf(db)
  const made = madeBy(migrations.slice(0, version))
  return [
    ...[...made].filter(([name]) => !is.has(name)).map(([name]) => `The ${name} is missing.`),
    ...[...made]
      .filter(([name, sql]) => is.has(name) && is.get(name) !== sql)
      .map(([name]) => `The ${name} was changed.`),
    ...[...is.keys()].filter(name => !made.has(name)).map(name => `The ${name} was not made by the program.`),
  ]
}

function madeBy(migrations: Migration[]): Map<string, string> {
  const db = openPlain(':memory:')
  try {
    migrate(db, migrations, new Date(0).toISOString())
    return schemaOf(db)
  } finally {
    db.close()
  }
}

/** 'trigger findings_no_update' → its statement, without what SQLite may write in another way. */
function schemaOf(db: Connection): Map<string, string> {
  const all = db.prepare<[], { type: string; name: string; sql: string }>(`
    SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'`)
  return new Map(
    all.all().map(({ type, name, sql }) => [`${type} ${name}`, sql.replace(/["\s]+/g, ' ').trim()]),
  )
}
