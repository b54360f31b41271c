import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs'
import path from 'node:path'
import { inject } from 'vitest'
import { openDatabase } from '../../server/storage/engine/database.ts'
import { storageOver } from '../storage/make.ts'
import { type Demo, folderInUse, makeDemo, NOW } from './make.ts'

/** As demoOf, but loaded once for all workers of a run of the tests. */
export async function copyOfDemo(seed: number): Promise<Omit<Demo, 'seconds'>> {
  const file = path.join(inject('runFolder'), `demo-${seed}.db`)
  if (!existsSync(file)) await load(seed, file)
  const { db, storage, at } = storageOver(openDatabase(readFileSync(file)))
  at(NOW.toISOString())
  return { db, storage, knowledge: folderInUse().knowledge }
}

/** Renamed into place, as another worker may load the same. */
async function load(seed: number, file: string): Promise<void> {
  const { db } = await makeDemo(seed)
  const begun = `${file}.${process.pid}`
  writeFileSync(begun, db.serialize())
  db.close()
  renameSync(begun, file)
}
