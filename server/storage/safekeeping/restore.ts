// A backup proves itself by being restored: into a place of its own for a rehearsal, or into use.

import {
  constants,
  copyFileSync,
  existsSync,
  linkSync,
  mkdirSync,
  mkdtempSync,
  renameSync,
  rmSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { openDatabase, openPlain } from '../engine/database.ts'
import { type Migration, migrate } from '../engine/migrate.ts'
import { sqliteCode } from '../engine/sql.ts'
import { readNote } from './backup.ts'
import { BackupError } from './backup-error.ts'
import { type BackupNote, stamp } from './backup-folder.ts'
import { checkPhotos, type PhotosCopied } from './photo-backup.ts'
import { verifyDatabase } from './verify.ts'
import { copyWhole, measure, sync } from './whole-files.ts'

export interface Rehearsed extends PhotosCopied {
  file: string
  at: string
  seconds: number
  rows: number
  entries: number
  signatures: number
}

/**
 * Copies the backup aside, opens it as a start would, brings it up to this program's tables, verifies it and counts, and
 * holds each picture against its hash: those that are not there as they were are in `troubles`.
 * Throws BackupError, or what migrating throws, when the backup would not do; nothing in use is touched.
 */
export async function rehearse(file: string, migrations: Migration[], now: Date): Promise<Rehearsed> {
  const began = performance.now()
  const note = await readNote(file)
  const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-rehearsal-'))
  try {
    const copy = path.join(dir, 'fourfoot.db')
    copyFileSync(file, copy)
    const counted = openAndCount(copy, note, migrations, now)
    const photos = await checkPhotos(file)
    const seconds = Math.round(performance.now() - began) / 1000
    return { file: path.basename(file), at: now.toISOString(), seconds, ...counted, ...photos }
  } finally {
    rmSync(dir, { recursive: true })
  }
}

/**
 * Puts the backup in the place of the database by one rename: at each moment there is the one or the other. The one
 * before stays beside it; gives its new name, or null when there was none. Throws BackupError when the
 * program is running on the database, or the copy is not as the backup is.
 */
export async function putInUse(file: string, database: string, now: Date): Promise<string | null> {
  const { sha256 } = await readNote(file)
  const part = `${database}.part`
  mkdirSync(path.dirname(database), { recursive: true })
  rmSync(part, { force: true })
  copyFileSync(file, part, constants.COPYFILE_EXCL)
  if ((await measure(part)).sha256 !== sha256)
    throw new BackupError(`${part} is not as the backup is: the disk did not take it.`)
  sync(part)
  const aside = existsSync(database) ? saveAside(database, now) : null
  // A log left behind would be taken for the new database's.
  for (const end of ['-wal', '-shm']) rmSync(database + end, { force: true })
  renameSync(part, database)
  sync(path.dirname(database))
  return aside
}

function openAndCount(copy: string, note: BackupNote, migrations: Migration[], now: Date) {
  const db = openDatabase(copy)
  try {
    migrate(db, migrations, now.toISOString())
    const { problems, rows, entries, signatures } = verifyDatabase(db, note.head, { migrations })
    if (problems.length > 0)
      throw new BackupError(`The backup does not verify: ${problems.slice(0, 5).join(' ')}`)
    if (entries !== note.entries || (note.schema === migrations.length && rows !== note.rows))
      throw new BackupError(
        `The backup holds ${rows} rows and ${entries} entries; its note says ${note.rows} and ${note.entries}.`,
      )
    return { rows, entries, signatures }
  } finally {
    db.close()
  }
}

/** The database under a second name; the first stays until another file takes it. */
function saveAside(database: string, now: Date): string {
  foldInLog(database)
  const aside = freeName(`${database}.before-${stamp(now)}`)
  // A damaged database can't be opened, and its log may hold what is missing in it.
  for (const end of ['', '-wal', '-shm']) if (existsSync(database + end)) link(database + end, aside + end)
  sync(path.dirname(database))
  return aside
}

/** Two restores may fall into one second. */
function freeName(name: string): string {
  for (let n = 1; ; n++) {
    const free = n === 1 ? name : `${name}-${n}`
    if (['', '-wal', '-shm'].every(end => !existsSync(free + end))) return free
  }
}

/** On a disk without second names a copy does as well. */
function link(from: string, to: string): void {
  try {
    linkSync(from, to)
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'EEXIST') throw error
    copyWhole(from, to)
  }
}

/**
 * Moves what is in the log into the file. Throws BackupError while the program has it open: it holds a lock on it
 * then, so it can't be locked exclusively.
 */
function foldInLog(database: string): void {
  const db = openPlain(database, { timeout: 200 })
  try {
    db.pragma('locking_mode = EXCLUSIVE')
    db.exec('BEGIN EXCLUSIVE; COMMIT')
    db.pragma('wal_checkpoint(TRUNCATE)')
  } catch (error) {
    if (sqliteCode(error)?.startsWith('SQLITE_BUSY'))
      throw new BackupError('The program is running on this database. Stop it first.')
    // A damaged database can't be opened, and is what a restore is for.
  } finally {
    db.close()
  }
}
