// The picture files, in a folder beside the database. A name is the SHA-256 of what is in it, so no file is ever
// overwritten and the same picture is stored once.

import { closeSync, existsSync, fsyncSync, mkdirSync, openSync, renameSync, writeSync } from 'node:fs'
import path from 'node:path'
import { randomId, sha256 as sha256Of } from '#platform'

export const photoFolder = (dataDir: string): string => path.resolve(dataDir, 'photos')

/** Where the picture with this hash is. */
export function photoPath(dataDir: string, sha256: string): string {
  return path.join(photoFolder(dataDir), sha256.slice(0, 2), sha256)
}

/** Writes the picture to disk for good and gives its hash. Throws what the file system throws. */
export function savePhotoFile(dataDir: string, bytes: Uint8Array): string {
  const sha256 = sha256Of(bytes)
  const place = photoPath(dataDir, sha256)
  if (existsSync(place)) return sha256
  mkdirSync(path.dirname(place), { recursive: true })
  const half = `${place}.${randomId()}`
  const file = openSync(half, 'wx')
  try {
    writeSync(file, bytes)
    fsyncSync(file)
  } finally {
    closeSync(file)
  }
  renameSync(half, place)
  return sha256
}
