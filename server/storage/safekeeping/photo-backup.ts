// The picture files beside the backups of the database. A copy is named by its SHA-256, as the original is, so that all
// backups of a folder share it; what the table of pictures says of hash and length is what it is held against.

import { randomUUID } from 'node:crypto'
import { existsSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs'
import path from 'node:path'
import { openPlain } from '../engine/database.ts'
import { BackupError } from './backup-error.ts'
import { photoPath } from './photo-files.ts'
import { copyWhole, measure } from './whole-files.ts'

/** One picture file that a database needs. `id` and `faultId` are of the first picture with it. */
export interface PhotoFile {
  sha256: string
  bytes: number
  id: string
  faultId: string
}

export interface PhotoTrouble extends PhotoFile {
  what: 'missing' | 'changed'
}

/** How the copies came out: how many different files the database needs, and which of them are not there as they were. */
export interface PhotosCopied {
  photos: number
  troubles: PhotoTrouble[]
}

const DAY_MS = 24 * 3_600_000

/** Where a backup in `dir` stores a picture. Not the originals' folder, in case both are set to the same one. */
export function backedUpPhoto(dir: string, sha256: string): string {
  return path.join(backedUpPhotos(dir), sha256.slice(0, 2), sha256)
}

/**
 * Copies what the database `file` needs out of `dataDir` into `dir`, and proves each copy by hash and length. A picture
 * in `dataDir` that is lost or damaged, and of which `dir` has a good copy, is put right from it.
 */
export async function backUpPhotos(file: string, dataDir: string, dir: string): Promise<PhotosCopied> {
  const original = (sha256: string) => photoPath(dataDir, sha256)
  const copy = (sha256: string) => backedUpPhoto(dir, sha256)
  const copied = await carry(file, original, copy, place => rmSync(place, { force: true }))
  await carry(file, copy, original, place => renameSync(place, `${place}.damaged-${randomUUID()}`))
  return copied
}

/** Holds the pictures of the backup `file` against its table; nothing is written. */
export async function checkPhotos(file: string): Promise<PhotosCopied> {
  const needed = photosOf(file)
  const troubles: PhotoTrouble[] = []
  for (const photo of needed) {
    const what = await troubleOf(backedUpPhoto(folderOf(file), photo.sha256), photo)
    if (what) troubles.push({ ...photo, what })
  }
  return { photos: needed.length, troubles }
}

/**
 * Puts the pictures of the backup `file` back into `dataDir`, where they are not there already. A changed one is
 * renamed and stays beside it.
 */
export function restorePhotos(file: string, dataDir: string, now: Date): Promise<PhotosCopied> {
  const moment = now.toISOString().replace(/[-:]|\.\d+/g, '')
  return carry(
    file,
    sha256 => backedUpPhoto(folderOf(file), sha256),
    sha256 => photoPath(dataDir, sha256),
    place => renameSync(place, `${place}.before-${moment}`),
  )
}

/**
 * Removes the copies that none of the backups `files` of `dir` needs; gives how many went. One of the last day stays: it
 * may belong to a backup just being made. Throws BackupError that names it, and removes nothing, when a backup can't be read.
 */
export function dropUnneeded(dir: string, files: string[], now: Date): number {
  const folder = backedUpPhotos(dir)
  if (!existsSync(folder)) return 0
  const needed = new Set(files.flatMap(photosOfBackup).map(({ sha256 }) => sha256))
  const old = readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter(entry => entry.isFile() && !needed.has(entry.name))
    .map(entry => path.join(entry.parentPath, entry.name))
    .filter(place => now.getTime() - statSync(place).mtimeMs > DAY_MS)
  for (const place of old) rmSync(place)
  return old.length
}

/** A line for each of the first twenty, and one that counts the others. */
export function nameTroubles(troubles: PhotoTrouble[]): string[] {
  const lines = troubles.slice(0, 20).map(({ what, id, faultId, sha256 }) => {
    const matter = what === 'missing' ? 'its file is missing' : 'its file was changed or is damaged'
    return `Picture ${id} of fault ${faultId}: ${matter} (${sha256}).`
  })
  return troubles.length > 20 ? [...lines, `And ${troubles.length - 20} more.`] : lines
}

/** Leaves what is right at its place, copies what is not, and names what can't be had. */
async function carry(
  file: string,
  from: (sha256: string) => string,
  to: (sha256: string) => string,
  makeRoom: (place: string) => void,
): Promise<PhotosCopied> {
  const needed = photosOf(file)
  const troubles: PhotoTrouble[] = []
  for (const photo of needed) {
    const place = to(photo.sha256)
    const there = await troubleOf(place, photo)
    if (there === null) continue
    const what = await troubleOf(from(photo.sha256), photo)
    if (what) {
      troubles.push({ ...photo, what })
      continue
    }
    if (there === 'changed') makeRoom(place)
    copyWhole(from(photo.sha256), place)
    const copied = await troubleOf(place, photo)
    if (copied) troubles.push({ ...photo, what: copied })
  }
  return { photos: needed.length, troubles }
}

async function troubleOf(place: string, { sha256, bytes }: PhotoFile): Promise<PhotoTrouble['what'] | null> {
  const stats = statSync(place, { throwIfNoEntry: false })
  if (!stats?.isFile()) return 'missing'
  if (stats.size !== bytes) return 'changed'
  return (await measure(place)).sha256 === sha256 ? null : 'changed'
}

function photosOfBackup(file: string): PhotoFile[] {
  try {
    return photosOf(file)
  } catch (cause) {
    throw new BackupError(
      `The backup ${file} can’t be read, so no picture is removed. Take it out of the folder.`,
      { cause },
    )
  }
}

/** Each file once; none when the backup is older than the table of pictures. */
function photosOf(file: string): PhotoFile[] {
  const db = openPlain(file, { readonly: true })
  try {
    const table = db.prepare("SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'photos'").get()
    if (!table) return []
    const all = db.prepare<[], PhotoFile>(
      'SELECT sha256, bytes, min(id) AS id, fault_id AS faultId FROM photos GROUP BY sha256, bytes ORDER BY sha256',
    )
    return all.all()
  } finally {
    db.close()
  }
}

/** A backup that was set aside lies in a folder of its own; the pictures stay where they were. */
function folderOf(file: string): string {
  const dir = path.dirname(file)
  return existsSync(backedUpPhotos(dir)) ? dir : path.dirname(dir)
}

const backedUpPhotos = (dir: string): string => path.join(dir, 'fourfoot-photos')
