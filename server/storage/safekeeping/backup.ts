// Backups: a copy of the database as it stood at one moment, with the pictures it names, verified before it counts as a
// backup, and a note beside it of what it holds. Old backups are removed, the newest never.

import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import path from 'node:path'
import { type Database, openPlain } from '../engine/database.ts'
import { schemaVersion } from '../engine/migrate.ts'
import { BackupError } from './backup-error.ts'
import { backUpPhotos, dropUnneeded, type PhotosCopied } from './photo-backup.ts'
import { verifyDatabase } from './verify.ts'
import { measure, sync } from './whole-files.ts'

export interface BackupState {
  /** When the newest was made; null when there is none. */
  newestAt: string | null
  /** What went wrong with the last attempt; null when it worked. */
  trouble: string | null
}

/** What stands in the note beside a backup. */
export interface BackupNote {
  at: string
  schema: number
  bytes: number
  sha256: string
  rows: number
  entries: number
  head: string | null
  /** How many different picture files its table names; a note from before pictures were backed up has none. */
  photos?: number
}

export interface BackedUp extends PhotosCopied {
  file: string
}

export { BackupError }

/**
 * Copies the database and its pictures (out of `dataDir`) into `dir`, verifies the copies and writes the note. The program
 * may be writing meanwhile. Throws BackupError, with no file left, when the database's copy does not verify. A picture
 * that is lost or changed is in `troubles`; all else is backed up.
 */
export async function backUp(db: Database, dataDir: string, dir: string, now: Date): Promise<BackedUp> {
  mkdirSync(dir, { recursive: true })
  const file = path.join(dir, `fourfoot-${now.toISOString().replace(/[-:]|\.\d+/g, '')}.db`)
  const part = `${file}.part`
  try {
    // All pages in one step: copied in pieces, the copy would begin again at each write in between.
    await db.backup(part, { progress: () => 2 ** 31 - 1 })
    const verified = verifiedNote(part)
    // After the database: a picture's file is there before its row is.
    const copied = await backUpPhotos(part, dataDir, dir)
    const measured = await measure(part)
    const note: BackupNote = { at: now.toISOString(), ...verified, ...measured, photos: copied.photos }
    writeFileSync(noteOf(file), `${JSON.stringify(note, null, 2)}\n`)
    sync(part)
    renameSync(part, file)
    sync(dir)
    return { file, ...copied }
  } finally {
    for (const left of [part, `${part}-wal`, `${part}-shm`, `${part}-journal`]) rmSync(left, { force: true })
  }
}

/** Backups of a folder, newest first; none when there is no folder. */
export function listBackups(dir: string): { file: string; at: string }[] {
  const names = statSync(dir, { throwIfNoEntry: false }) ? readdirSync(dir) : []
  return names
    .filter(name => /^fourfoot-\d{8}T\d{6}Z\.db$/.test(name))
    .sort()
    .reverse()
    .map(name => ({ file: path.join(dir, name), at: momentOf(name) }))
}

/** Prunes the oldest backups until `keep` are left, and the pictures that none of those needs; gives how many went. */
export function rotate(dir: string, keep: number, now: Date): number {
  const old = listBackups(dir).slice(Math.max(1, keep))
  for (const { file } of old) {
    rmSync(file)
    rmSync(noteOf(file), { force: true })
  }
  dropUnneeded(
    dir,
    listBackups(dir).map(({ file }) => file),
    now,
  )
  return old.length
}

/** What the note says the backup holds. Throws BackupError when there is none, or the file is not the one it is of. */
export async function readNote(file: string): Promise<BackupNote> {
  if (!existsSync(noteOf(file)))
    throw new BackupError(
      `There is no note ${noteOf(file)}, so it can't be told whether the backup is whole.`,
    )
  const note = JSON.parse(readFileSync(noteOf(file), 'utf8')) as BackupNote
  const { sha256 } = await measure(file)
  if (sha256 !== note.sha256)
    throw new BackupError(`${file} is not as it was written: the file was changed or is damaged.`)
  return note
}

function verifiedNote(file: string): Pick<BackupNote, 'schema' | 'rows' | 'entries' | 'head'> {
  const db = openPlain(file)
  try {
    db.pragma('journal_mode = DELETE') // one file, which opens from a read-only disk too
    const { problems, rows, entries, head } = verifyDatabase(db)
    if (problems.length > 0)
      throw new BackupError(`The backup does not verify: ${problems.slice(0, 5).join(' ')}`)
    return { schema: schemaVersion(db), rows, entries, head }
  } finally {
    db.close()
  }
}

function noteOf(file: string): string {
  return `${file.slice(0, -'.db'.length)}.json`
}

function momentOf(name: string): string {
  return name.replace(/^fourfoot-(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)Z\.db$/, '$1-$2-$3T$4:$5:$6.000Z')
}
