// Files that are there whole or not at all, also after a power cut.

import { createHash, randomUUID } from 'node:crypto'
import {
  closeSync,
  copyFileSync,
  createReadStream,
  fsyncSync,
  mkdirSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import path from 'node:path'
import { pipeline } from 'node:stream/promises'

/** Makes what was written to this file or folder durable. */
export function sync(place: string): void {
  const handle = openSync(place, 'r')
  try {
    fsyncSync(handle)
  } finally {
    closeSync(handle)
  }
}

/** Length and SHA-256 (hexadecimal) of a file. Throws what the file system throws. */
export async function measure(file: string): Promise<{ bytes: number; sha256: string }> {
  const hash = createHash('sha256')
  await pipeline(createReadStream(file), hash)
  return { bytes: statSync(file).size, sha256: hash.digest('hex') }
}

/** Copies a file to a place whose folder is made when missing; until the copy is durable it has another name. */
export function copyWhole(from: string, to: string): void {
  placeWhole(to, part => copyFileSync(from, part))
}

/** Writes a file as a whole, in place of one of that name. Throws when the disk did not take every byte. */
export function writeWhole(to: string, bytes: Uint8Array): void {
  placeWhole(to, part => {
    writeFileSync(part, bytes, { flag: 'wx' })
    if (!readFileSync(part).equals(bytes)) throw new Error(`${to} was not written as it should be.`)
  })
}

function placeWhole(to: string, write: (part: string) => void): void {
  const made = mkdirSync(path.dirname(to), { recursive: true })
  const part = `${to}.${randomUUID()}.part`
  try {
    write(part)
    sync(part)
    renameSync(part, to)
  } finally {
    rmSync(part, { force: true })
  }
  sync(path.dirname(to))
  if (made) sync(path.dirname(made))
}
