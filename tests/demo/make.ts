// The demo railway in a database of its own, from the knowledge folder as it is.

import { loadDemo } from '../../server/demo/load.ts'
import { compile } from '../../server/knowledge/compile.ts'
import { hashEdition, hashFile, readKnowledge } from '../../server/knowledge/load.ts'
import type { Knowledge, SourceFile } from '../../server/knowledge/types.ts'
import { type Database, openDatabase } from '../../server/storage/engine/database.ts'
import type { Storage } from '../../server/storage/storage.ts'
import { makeStorage, storageOver } from '../storage/make.ts'

export const NOW = new Date('2026-06-15T09:30:00.000Z')

export interface Demo {
  db: Database
  storage: Storage
  knowledge: Knowledge
  /** How long the loading itself took. */
  seconds: number
}

const loaded = new Map<number, Promise<Demo & { bytes: Buffer }>>()

/** A database of its own with the railway of the seed, which this process loads once and then copies. */
export async function demoOf(seed: number): Promise<Demo> {
  const first = loaded.get(seed) ?? makeDemo(seed).then(demo => ({ ...demo, bytes: demo.db.serialize() }))
  loaded.set(seed, first)
  const { bytes, knowledge, seconds } = await first
  const { db, storage, at } = storageOver(openDatabase(bytes))
  at(NOW.toISOString())
  return { db, storage, knowledge, seconds }
}

/** Loads the railway of the seed. */
export async function makeDemo(seed: number, now = NOW): Promise<Demo> {
  const { files, knowledge } = folderInUse()
  const edition = hashEdition(files)
  const hashed = files.map(file => ({ ...file, sha256: hashFile(file.text) }))
  return loadInto(seed, now, knowledge, edition, hashed)
}

/** The knowledge folder as it is. */
export function folderInUse(): { files: SourceFile[]; knowledge: Knowledge } {
  const { files } = readKnowledge('knowledge')
  const { knowledge } = compile(files)
  if (!knowledge) throw new Error('The knowledge folder has errors.')
  return { files, knowledge }
}

export async function loadInto(
  seed: number,
  now: Date,
  knowledge: Knowledge,
  edition: string,
  files: { path: string; text: string; sha256: string }[],
): Promise<Demo> {
  const { db, storage, at } = makeStorage()
  at(now.toISOString())
  storage.editions.create({ id: edition, files, publishedBy: null, note: '' })
  const started = performance.now()
  await loadDemo(storage, knowledge, edition, { seed, now })
  return { db, storage, knowledge, seconds: (performance.now() - started) / 1000 }
}
