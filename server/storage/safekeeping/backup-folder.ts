// The folder of the backups: which there are, in which order they were made, which may go. Their order is a number in the
// name, one more for each: a clock that once stood ahead or behind changes nothing of it.

import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync } from 'node:fs'
import path from 'node:path'
import { z } from 'zod'
import { openPlain } from '../engine/database.ts'
import { BackupError } from './backup-error.ts'
import { dropUnneeded } from './photo-backup.ts'
import { holdsEntry, type TrailEnd, trailEnd } from './trail-end.ts'
import { sync } from './whole-files.ts'

export interface Backup {
  file: string
  /** What the clock said when it was made. */
  at: string
  /** 1 for the first in the folder; 0 for one from before backups were numbered. */
  seq: number
}

const noteSchema = z.object({
  at: z.string(),
  /** As in the name; a note from before backups were numbered has none. */
  seq: z.number().optional(),
  schema: z.number(),
  bytes: z.number(),
  sha256: z.string(),
  rows: z.number(),
  /** The number of the trail's newest entry, and its hash; null for an empty trail. */
  entries: z.number(),
  head: z.string().nullable(),
  /** Which database it is of: the hash of its trail's first entry. */
  database: z.string().nullish(),
  /** How many different picture files its table names; a note from before pictures were backed up has none. */
  photos: z.number().optional(),
})

/** What stands in the note beside a backup. */
export type BackupNote = z.infer<typeof noteSchema>

const NAME = /^fourfoot-(?:(\d{6,})-)?(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)Z\.db$/
const SET_ASIDE = /^before-\d{8}T\d{6}Z(-\d+)?$/
const PART = /^fourfoot-.*\.part(-wal|-shm|-journal)?$/

/** A moment as it stands in names of files. */
export const stamp = (now: Date): string => now.toISOString().replace(/[-:]|\.\d+/g, '')

/** The newest first; none when there is no folder. Throws BackupError when the folder can't be read. */
export function listBackups(dir: string): Backup[] {
  const all = namesIn(dir).flatMap(name => backupOf(dir, name) ?? [])
  const entries = new Map(
    all.filter(({ seq }) => seq === 0).map(({ file }) => [file, noteIn(file)?.entries ?? 0]),
  )
  const length = ({ file }: Backup) => entries.get(file) ?? 0
  return all.sort((a, b) => b.seq - a.seq || length(b) - length(a) || (a.file < b.file ? 1 : -1))
}

/** Those that a restore or a fresh start has set aside. */
export function listSetAside(dir: string): Backup[] {
  return namesIn(dir)
    .filter(name => SET_ASIDE.test(name))
    .flatMap(name => listBackups(path.join(dir, name)))
}

/** What backups that are under way, or broke off, have written so far. */
export function listParts(dir: string): string[] {
  return namesIn(dir)
    .filter(name => PART.test(name))
    .map(name => path.join(dir, name))
}

/** Where the next backup goes. */
export function nextBackup(dir: string, now: Date): Backup {
  const numbered = [...listBackups(dir), ...listSetAside(dir)].map(({ seq }) => seq)
  const underWay = namesIn(dir).map(name => Number(/^fourfoot-(\d{6,})-.*\.part$/.exec(name)?.[1] ?? 0))
  const seq = Math.max(0, ...numbered, ...underWay) + 1
  const name = `fourfoot-${String(seq).padStart(6, '0')}-${stamp(now)}.db`
  return { file: path.join(dir, name), at: now.toISOString(), seq }
}

/** The note beside a backup; null when there is none, or it is damaged. */
export function noteIn(file: string): BackupNote | null {
  try {
    return noteSchema.parse(JSON.parse(readFileSync(noteOf(file), 'utf8')))
  } catch {
    return null
  }
}

export function noteOf(file: string): string {
  return `${file.slice(0, -'.db'.length)}.json`
}

/**
 * Removes the oldest backups until `keep` are left, and the pictures that none of those left needs; gives how many
 * went. Only a backup whose whole trail is in the newest one ever goes: not one of another database, and none at all
 * while there is one of the same database that the newest does not go on from. Throws BackupError, and
 * removes nothing more, when one can't be read.
 */
export function rotate(dir: string, keep: number, now: Date): number {
  const old = replaced(listBackups(dir)).slice(Math.max(1, keep))
  for (const { file } of old) {
    rmSync(file)
    rmSync(noteOf(file), { force: true })
  }
  const left = [...listBackups(dir), ...listSetAside(dir)].map(({ file }) => file)
  dropUnneeded(dir, left, now)
  return old.length
}

/** The newest and those that it goes on from, newest first; the newest alone when it may replace none. */
function replaced(all: Backup[]): Backup[] {
  const [newest, ...others] = all
  if (!newest) return []
  if (endOf(newest.file) === null) return [newest]
  const db = openPlain(newest.file, { readonly: true })
  try {
    const { database } = trailEnd(db)
    const ends = others.map(backup => ({ backup, end: endOf(backup.file) }))
    const before = ends.filter(({ end }) => end !== null && holdsEntry(db, end))
    const otherwise = ends.filter(other => !before.includes(other))
    if (otherwise.some(({ end }) => end?.database === database)) return [newest]
    return [newest, ...before.map(({ backup }) => backup)]
  } finally {
    db.close()
  }
}

/** What the backup's trail ends with, read from the file itself; null when it can't be read. */
export function endOf(file: string): TrailEnd | null {
  try {
    const db = openPlain(file, { readonly: true })
    try {
      return trailEnd(db)
    } finally {
      db.close()
    }
  } catch {
    return null
  }
}

/** Moves backups into a folder of their own, where they stay for good; gives it, or null when there are none to move. */
export function setAside(dir: string, backups: Backup[], now: Date): string | null {
  if (backups.length === 0) return null
  const folder = freeFolder(path.join(dir, `before-${stamp(now)}`))
  mkdirSync(folder)
  for (const { file } of backups)
    for (const place of [noteOf(file), file])
      if (existsSync(place)) renameSync(place, path.join(folder, path.basename(place)))
  sync(folder)
  sync(dir)
  return folder
}

function freeFolder(folder: string): string {
  for (let n = 1; ; n++) {
    const place = n === 1 ? folder : `${folder}-${n}`
    if (!existsSync(place)) return place
  }
}

/**
 * Removes what backups that broke off have left: what was last written before a time, or by a process that has ended;
 * gives how many files.
 */
export function sweepParts(dir: string, which: { before: Date } | { pid: number }): number {
  const isLeft = (place: string) =>
    'pid' in which
      ? place.includes(`.${which.pid}.part`)
      : (statSync(place, { throwIfNoEntry: false })?.mtimeMs ?? Infinity) < which.before.getTime()
  const old = listParts(dir).filter(isLeft)
  for (const place of old) rmSync(place, { force: true })
  return old.length
}

/** Makes the folder when it is missing. Throws BackupError when it can't be used. */
export function makeFolder(dir: string): void {
  try {
    mkdirSync(dir, { recursive: true })
    readdirSync(dir)
  } catch (error) {
    throw unusable(dir, error)
  }
}

function namesIn(dir: string): string[] {
  try {
    return readdirSync(dir)
  } catch (error) {
    if (codeOf(error) === 'ENOENT') return []
    throw unusable(dir, error)
  }
}

function unusable(dir: string, cause: unknown): BackupError {
  return new BackupError(`The backups’ folder ${dir} can’t be used (${codeOf(cause) ?? String(cause)}).`, {
    cause,
  })
}

function codeOf(error: unknown): string | null {
  return error instanceof Error && 'code' in error ? String(error.code) : null
}

function backupOf(dir: string, name: string): Backup | null {
  const [, seq, ...moment] = NAME.exec(name) ?? []
  const [year, month, day, hours, minutes, seconds] = moment
  if (seconds === undefined) return null
  const at = `${year}-${month}-${day}T${hours}:${minutes}:${seconds}.000Z`
  return { file: path.join(dir, name), at, seq: Number(seq ?? 0) }
}
