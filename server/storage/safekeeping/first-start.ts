// A missing database where there once was one is no first start: a new one in its place would look like a depot without
// a past.

import { existsSync, readdirSync, renameSync, statSync } from 'node:fs'
import path from 'node:path'
import { BackupError } from './backup-error.ts'
import { listBackups, listParts, listSetAside, setAside, stamp } from './backup-folder.ts'

/**
 * Throws BackupError, in one line that says what to do, when the database is missing or empty while backups of one, or
 * what a restore, a database or its pictures leave behind, are there; and when it can't be told whether they are.
 */
export function mustNotBeLost(database: string, backupDir: string): void {
  if (holdsSomething(database)) return
  const left = [...leftBeside(database).map(({ place }) => place), ...backupsIn(backupDir)]
  if (left.length === 0) return
  const what = existsSync(database) ? `The database ${database} is empty` : `There is no database ${database}`
  throw new BackupError(
    `${what}, but there was one: ${left[0]} is here. See that its disk is mounted, or put the newest backup in use with \`npm run restore\`; for a new, empty database start once with \`npm start -- --fresh\`.`,
  )
}

/** Sets aside what is left of a database that is missing or empty, with its backups; gives a line for each move. */
export function setLeftAside(database: string, backupDir: string, now: Date): string[] {
  if (holdsSomething(database))
    throw new BackupError(
      `There is a database ${database}: --fresh is for when there is none. Move it away first.`,
    )
  const moved = leftBeside(database)
    .filter(({ isOld }) => !isOld)
    .map(({ place }) => {
      const aside = `${place}.before-${stamp(now)}`
      renameSync(place, aside)
      return `${place} is kept as ${aside}.`
    })
  const folder = setAside(backupDir, listBackups(backupDir), now)
  return folder ? [...moved, `The backups are kept in ${folder}.`] : moved
}

/** All of it may still be in its log; a log without its database is of no use to SQLite, which removes it. */
function holdsSomething(database: string): boolean {
  const sizeOf = (file: string) => statSync(file, { throwIfNoEntry: false })?.size ?? 0
  return sizeOf(database) > 0 || (existsSync(database) && sizeOf(`${database}-wal`) > 0)
}

/** The log and copies under the database's name, and its pictures; `isOld`: what was set aside before. */
function leftBeside(database: string): { place: string; isOld: boolean }[] {
  const dir = path.dirname(database)
  const name = path.basename(database)
  const names = existsSync(dir) ? readdirSync(dir) : []
  return names
    .filter(other => other === `${name}-wal` || other.startsWith(`${name}.`) || other === 'photos')
    .filter(other => other !== 'photos' || readdirSync(path.join(dir, other)).length > 0)
    .map(other => ({ place: path.join(dir, other), isOld: other.includes('.before-') }))
}

function backupsIn(backupDir: string): string[] {
  const all = [...listBackups(backupDir), ...listSetAside(backupDir)]
  return [...all.map(({ file }) => file), ...listParts(backupDir)]
}
