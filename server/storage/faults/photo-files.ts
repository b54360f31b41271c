// The picture files, in a folder beside the database. A name is the SHA-256 of what is in it, so nothing is ever written
// over and the same picture is kept once.

import { createHash, randomUUID } from 'node:crypto'
import { closeSync, existsSync, fsyncSync, mkdirSync, openSync, renameSync, writeSync } from 'node:fs'
import path from 'node:path'

export const photoFolder = (dataDir: string): string => path.resolve(dataDir, 'photos')

/** Where the picture with this hash is. */
export function photoPath(dataDir: string, sha256: string): string {
  return path.join(photoFolder(dataDir), sha256.slice(0, 2), sha256)
}

/** Writes the picture to disk for good and gives its hash. Throws what the file system throws. */
export function keepPhotoFile(dataDir: string, bytes: Buffer): string {
  const sha256 = createHash('sha256').update(bytes).digest('hex')
  const place = photoPath(dataDir, sha256)
  if (existsSync(place)) return sha256
  mkdirSync(path.dirname(place), { recursive: true })
  const half = `${place}.${randomUUID()}`
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
