import type { Migration } from '../../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'

/** The program's own migrations, and one more that changes much; with `stops`, it stops half way. */
export function halfWay(stops: boolean): Migration[] {
  const ours = readMigrations('migrations')
  const number = String(ours.length + 1).padStart(4, '0')
  const sql = `
    CREATE TABLE spare (id TEXT NOT NULL PRIMARY KEY, words TEXT NOT NULL) STRICT;
    INSERT INTO spare SELECT id, name FROM people;
    ALTER TABLE sites ADD COLUMN region TEXT;
    UPDATE sites SET region = 'north';
    ${stops ? 'SELECT stop();' : ''}
    INSERT INTO spare SELECT id, name FROM sites;`
  return [...ours, { name: `${number}-spare`, sql }]
}
