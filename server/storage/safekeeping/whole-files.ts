// Files that are there whole or not at all, also after a power cut.

import { createHash } from 'node:crypto'
import {
  closeSync,
  copyFileSync,
  createReadStream,
  fsyncSync,
  mkdirSync,
  openSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs'
import path from 'node:path'
import { pipeline } from 'node:stream/promises'

/** Makes what was written to this file or folder durable. */
export function sync(place: string): void {
  const handle = openSync(place, 'r')
  fsyncSync(handle)
  closeSync(handle)
}

/** Length and SHA-256 (hexadecimal) of a file. Throws what the file system throws. */
export async function measure(file: string): Promise<{ bytes: number; sha256: string }> {
  const hash = createHash('sha256')
  await pipeline(createReadStream(file), hash)
  return { bytes: statSync(file).size, sha256: hash.digest('hex') }
}

/** Copies a file to a place whose folder is made when missing; until the copy is durable it has another name. */
export function copyWhole(from: string, to: string): void {
  mkdirSync(path.dirname(to), { recursive: true })
  const part = `${to}.part`
  try {
    copyFileSync(from, part)
    sync(part)
    renameSync(part, to)
  } finally {
    rmSync(part, { force: true })
  }
  sync(path.dirname(to))
}
