// Backups: a copy of the database as it stood at one moment, looked through before it counts as one, with a note beside
// it of what it holds. Old ones go, the newest never.

import { createHash } from 'node:crypto'
import {
  closeSync,
  createReadStream,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import path from 'node:path'
import { pipeline } from 'node:stream/promises'
import Sqlite from 'better-sqlite3'
import type { Database } from './database.ts'
import { schemaVersion } from './migrate.ts'
import { type Verified, verifyDatabase } from './verify.ts'

/** What stands in the note beside a backup. */
export interface BackupNote {
  at: string
  schema: number
  bytes: number
  sha256: string
  rows: number
  entries: number
  head: string | null
}

/** The message says what is the matter with the backup. */
export class BackupError extends Error {}

/**
 * Copies the database into `dir`, verifies the copy and writes its note; gives the file's path. The program may be
 * writing meanwhile. Throws BackupError, with no file left, when the copy does not verify.
 */
export async function backUp(db: Database, dir: string, now: Date): Promise<string> {
  mkdirSync(dir, { recursive: true })
  const file = path.join(dir, `fourfoot-${now.toISOString().replace(/[-:]|\.\d+/g, '')}.db`)
  const part = `${file}.part`
  try {
    // All at one go: copied in pieces, it would begin anew whenever somebody writes in between.
    await db.backup(part, { progress: () => 2 ** 31 - 1 })
    const verified = lookThrough(part)
    const note: BackupNote = { at: now.toISOString(), ...verified, ...(await measure(part)) }
    writeFileSync(noteOf(file), `${JSON.stringify(note, null, 2)}\n`)
    sync(part)
    renameSync(part, file)
    sync(dir)
    return file
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

/** Removes the oldest until `keep` are left; gives how many went. */
export function rotate(dir: string, keep: number): number {
  const old = listBackups(dir).slice(Math.max(1, keep))
  for (const { file } of old) {
    rmSync(file)
    rmSync(noteOf(file), { force: true })
  }
  return old.length
}

/** What the note says the backup holds. Throws BackupError when there is none, or the file is not the one it is of. */
export async function readNote(file: string): Promise<BackupNote> {
  const found = statSync(noteOf(file), { throwIfNoEntry: false })
  if (!found)
    throw new BackupError(
      `There is no note ${noteOf(file)}, so it can't be told whether the backup is whole.`,
    )
  const note = JSON.parse(readFileSync(noteOf(file), 'utf8')) as BackupNote
  const { sha256 } = await measure(file)
  if (sha256 !== note.sha256)
    throw new BackupError(`${file} is not as it was written: the file was changed or is damaged.`)
  return note
}

export function sync(place: string): void {
  const handle = openSync(place, 'r')
  fsyncSync(handle)
  closeSync(handle)
}

function lookThrough(file: string): Pick<BackupNote, 'schema' | 'rows' | 'entries' | 'head'> {
  const db = new Sqlite(file)
  try {
    db.pragma('journal_mode = DELETE') // one file, that opens also from a disk nobody can write
    const { problems, rows, entries, head }: Verified = verifyDatabase(db)
    if (problems.length > 0)
      throw new BackupError(`The backup does not verify: ${problems.slice(0, 5).join(' ')}`)
    return { schema: schemaVersion(db), rows, entries, head }
  } finally {
    db.close()
  }
}

async function measure(file: string): Promise<{ bytes: number; sha256: string }> {
  const hash = createHash('sha256')
  await pipeline(createReadStream(file), hash)
  return { bytes: statSync(file).size, sha256: hash.digest('hex') }
}

function noteOf(file: string): string {
  return `${file.slice(0, -'.db'.length)}.json`
}

function momentOf(name: string): string {
  return name.replace(/^fourfoot-(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)Z\.db$/, '$1-$2-$3T$4:$5:$6.000Z')
}
