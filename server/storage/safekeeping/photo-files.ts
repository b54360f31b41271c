// The picture files, in a folder beside the database. A name is the SHA-256 of what is in it, so the same picture is
// stored once, and a file that is not what its name says can be told and replaced.

import { readFileSync, statSync } from 'node:fs'
import path from 'node:path'
import { sha256 as sha256Of } from '#platform'
import { writeWhole } from './whole-files.ts'

export const photoFolder = (dataDir: string): string => path.resolve(dataDir, 'photos')

/** Where the picture with this hash is. */
export function photoPath(dataDir: string, sha256: string): string {
  return path.join(photoFolder(dataDir), sha256.slice(0, 2), sha256)
}

/**
 * Writes the picture to disk for good and gives its hash. A file of that name which was cut short or damaged is replaced.
 * Throws what the file system throws; nothing half written is left then.
 */
export function savePhotoFile(dataDir: string, bytes: Uint8Array): string {
  const sha256 = sha256Of(bytes)
  const place = photoPath(dataDir, sha256)
  if (!isWhole(place, bytes.length, sha256)) writeWhole(place, bytes)
  return sha256
}

function isWhole(place: string, length: number, sha256: string): boolean {
  const stats = statSync(place, { throwIfNoEntry: false })
  return stats?.isFile() === true && stats.size === length && sha256Of(readFileSync(place)) === sha256
}
