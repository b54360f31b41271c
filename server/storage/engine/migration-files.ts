import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { type Migration, MigrationError } from './migrate.ts'

/** The files `NNNN-words.sql` of a folder, in order. Throws MigrationError when a number is missing or there twice. */
export function readMigrations(dir: string): Migration[] {
  const files = readdirSync(dir).filter(file => file.endsWith('.sql'))
  return files.sort().map((file, index) => {
    if (!/^\d{4}-[a-z0-9-]+\.sql$/.test(file) || Number(file.slice(0, 4)) !== index + 1) {
      throw new MigrationError(`migrations/${file}: expected number ${String(index + 1).padStart(4, '0')}.`)
    }
    return { name: file.slice(0, -4), sql: readFileSync(join(dir, file), 'utf8') }
  })
}
