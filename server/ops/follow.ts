// npm run follow -- FOLDER [--every MINUTES] [--unit FILE]: keeps a copy of the database and its pictures in FOLDER, which
// lies on another machine, and makes it anew every few minutes (5 unless said). Runs beside the program until it is
// stopped. The copies are backups as `npm run backup` makes them, so `npm run restore` puts one in use on that machine.
// What fails is said in one line and tried again at the next turn.

import { existsSync } from 'node:fs'
import path from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { root } from '../start.ts'
import { openDatabase } from '../storage/engine/database.ts'
import { readMigrations } from '../storage/engine/migration-files.ts'
import { backUp } from '../storage/safekeeping/backup.ts'
import { BackupError } from '../storage/safekeeping/backup-error.ts'
import { endOf, listBackups, makeFolder, rotate, sweepParts } from '../storage/safekeeping/backup-folder.ts'
import { nameTroubles } from '../storage/safekeeping/photo-backup.ts'
import { trailEnd } from '../storage/safekeeping/trail-end.ts'
import { type Command, runCommand } from './command.ts'

const USUAL_MINUTES = 5
/** The newest, and the one before it while the newest is being read. */
const KEEP = 2

await runCommand({ every: { type: 'string' } }, follow)

async function follow(command: Command): Promise<void> {
  const { folder, everyMs } = wanted(command)
  const stopped = new AbortController()
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stopped.abort())
  while (!stopped.signal.aborted) {
    const began = performance.now()
    await copyOnce(command, folder)
    const left = Math.max(0, everyMs - (performance.now() - began))
    await pause(left, undefined, { signal: stopped.signal }).catch(() => {})
  }
}

function wanted({ positionals, values, config }: Command): { folder: string; everyMs: number } {
  const folder = positionals[0]
  if (!folder) throw new BackupError('Say where the copy is to lie: npm run follow -- FOLDER')
  if (path.resolve(folder) === path.resolve(config.backupDir))
    throw new BackupError('The copy that follows needs a folder of its own, beside the backups.')
  const minutes = values.every === undefined ? USUAL_MINUTES : Number(values.every)
  if (!(minutes > 0 && minutes <= 24 * 60))
    throw new BackupError('--every takes a number of minutes, above 0 and at most 1440.')
  return { folder, everyMs: minutes * 60_000 }
}

/** Makes one copy if anything was written since the last. Never throws: the next turn may do better. */
async function copyOnce({ config, database }: Command, folder: string): Promise<void> {
  try {
    if (!existsSync(database)) throw new BackupError(`There is no database at ${database}.`)
    makeFolder(folder)
    const db = openDatabase(database)
    try {
      const [last] = listBackups(folder)
      if (last && endOf(last.file)?.head === trailEnd(db).head) return
      sweepParts(folder, { before: new Date() }) // nobody else writes here
      const migrations = readMigrations(path.join(root, 'migrations'))
      const { file, troubles, unlike } = await backUp(db, config.dataDir, folder, new Date(), migrations)
      console.log(file)
      for (const words of [...unlike, ...nameTroubles(troubles)]) console.error(words)
      if (unlike.length === 0) rotate(folder, KEEP, new Date())
    } finally {
      db.close()
    }
  } catch (error) {
    console.error(`The copy was not made: ${error instanceof Error ? error.message : error}`)
  }
}
