// Backups: a copy of the database as it stood at one moment, with the pictures it names, verified before it counts as a
// backup, and a note beside it of what it holds.

import { existsSync, readFileSync, renameSync, rmSync } from 'node:fs'
import { type Database, openPlain } from '../engine/database.ts'
import { type Migration, schemaVersion } from '../engine/migrate.ts'
import { BackupError } from './backup-error.ts'
import {
  type Backup,
  type BackupNote,
  listBackups,
  makeFolder,
  nextBackup,
  noteIn,
  noteOf,
} from './backup-folder.ts'
import { backUpPhotos, type PhotosCopied } from './photo-backup.ts'
import { schemaProblems } from './schema-check.ts'
import { trailEnd } from './trail-end.ts'
import { missingHeads } from './trail-heads.ts'
import { verifyDatabase } from './verify.ts'
import { measure, sync, writeWhole } from './whole-files.ts'

export interface BackupState {
  /** When the newest was made; null when there is none, or the folder can't be read. */
  newestAt: string | null
  /** What is the matter with the backups; null when nothing is. */
  trouble: string | null
}

export interface BackedUp extends PhotosCopied {
  file: string
  /** What does not fit the backups made before, or its own tables, one line each: none of those may be removed then. */
  unlike: string[]
  /** Set when the clock stood, or stands, wrong: the one made before is dated later than this one. */
  clock: string | null
}

/**
 * Copies the database and its pictures (out of `dataDir`) into `dir`, verifies the copies and writes the note. The program
 * may be writing meanwhile. Throws BackupError, with no file left, when the folder can't be used or the database's copy
 * does not verify. A picture that is lost or changed is in `troubles`; all else is backed up. With `migrations` its tables
 * and triggers are held against those that these make: what differs is in `unlike`.
 */
export async function backUp(
  db: Database,
  dataDir: string,
  dir: string,
  now: Date,
  migrations: Migration[] | null = null,
): Promise<BackedUp> {
  makeFolder(dir)
  const before = listBackups(dir)
  const { file, at, seq } = nextBackup(dir, now)
  const part = `${file}.${process.pid}.part`
  try {
    // All pages in one step: copied in pieces, the copy would begin again at each write in between.
    await db.backup(part, { progress: () => 2 ** 31 - 1 })
    const { unlike, ...verified } = verifiedCopy(part, before, migrations)
    // After the database: a picture's file is there before its row is.
    const { photos, troubles } = await backUpPhotos(part, dataDir, dir)
    const note: BackupNote = { at, seq, ...verified, ...(await measure(part)), photos }
    writeWhole(noteOf(file), Buffer.from(`${JSON.stringify(note, null, 2)}\n`))
    sync(part)
    renameSync(part, file)
    sync(dir)
    return { file, photos, troubles, unlike, clock: clockWords(before[0]?.at, at) }
  } finally {
    for (const left of [part, `${part}-wal`, `${part}-shm`, `${part}-journal`]) rmSync(left, { force: true })
  }
}

function clockWords(before: string | undefined, at: string): string | null {
  if (before === undefined || Date.parse(before) <= Date.parse(at) + 60_000) return null
  return `The backup before this one is dated ${before}, after this one (${at}): the clock stood wrong then, or does now.`
}

/** What the note says the backup holds. Throws BackupError when there is none, or the file is not the one it is of. */
export async function readNote(file: string): Promise<BackupNote> {
  if (!existsSync(file)) throw new BackupError(`There is no backup ${file}.`)
  if (!existsSync(noteOf(file)))
    throw new BackupError(
      `There is no note ${noteOf(file)}, so it can't be told whether the backup is whole.`,
    )
  const note = noteIn(file)
  if (note === null) throw new BackupError(`The note ${noteOf(file)} is damaged: ${firstWords(noteOf(file))}`)
  const { sha256 } = await measure(file)
  if (sha256 !== note.sha256)
    throw new BackupError(`${file} is not as it was written: the file was changed or is damaged.`)
  return note
}

function firstWords(file: string): string {
  return JSON.stringify(readFileSync(file, 'utf8').slice(0, 60))
}

function verifiedCopy(file: string, before: Backup[], migrations: Migration[] | null) {
  const db = openPlain(file)
  try {
    db.pragma('journal_mode = DELETE') // one file, which opens from a read-only disk too
    const { problems, rows, entries, head } = verifyDatabase(db)
    if (problems.length > 0)
      throw new BackupError(`The backup does not verify: ${problems.slice(0, 5).join(' ')}`)
    const { database } = trailEnd(db)
    const changed = migrations ? schemaProblems(db, migrations).slice(0, 5) : []
    const unlike = [...missingHeads(db, before), ...changed]
    return { schema: schemaVersion(db), rows, entries, head, database, unlike }
  } finally {
    db.close()
  }
}
