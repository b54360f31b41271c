// npm run restore [-- FILE] [--rehearse] [--unit FILE]: puts a backup (the newest in BACKUP_DIR unless given) in the
// database's place, after a rehearsal, and its pictures with it; with --rehearse only that, kept on record in
// BACKUP_DIR/rehearsals.log. Backups newer than the one given are set aside: the database no longer goes on from them.
// A picture that is not as it was backed up is named and fails a rehearsal; it does not keep all else from being restored.

import { appendFileSync } from 'node:fs'
import path from 'node:path'
import { root } from '../start.ts'
import { openPlain } from '../storage/engine/database.ts'
import { readMigrations } from '../storage/engine/migration-files.ts'
import { BackupError } from '../storage/safekeeping/backup-error.ts'
import { endOf, listBackups, setAside } from '../storage/safekeeping/backup-folder.ts'
import { nameTroubles, type PhotoTrouble, restorePhotos } from '../storage/safekeeping/photo-backup.ts'
import { putInUse, rehearse } from '../storage/safekeeping/restore.ts'
import { missingHeads } from '../storage/safekeeping/trail-heads.ts'
import { type Command, runCommand } from './command.ts'

await runCommand({ rehearse: { type: 'boolean' } }, async command => {
  const { backupDir } = command.config
  const file = command.positionals[0] ?? newestOf(backupDir)
  const done = await rehearse(file, readMigrations(path.join(root, 'migrations')), new Date())
  appendFileSync(path.join(backupDir, 'rehearsals.log'), `${JSON.stringify(done)}\n`)
  console.log(
    `${done.file} opens, migrates and counts right: ${done.rows} rows, ${done.signatures} signatures, ${done.photos - done.troubles.length} of ${done.photos} pictures, ${done.seconds} s.`,
  )
  if (command.values.rehearse) tellTroubles(done.troubles)
  else await restore(path.resolve(file), command)
})

/** The newest holds most, or something happened that a person must decide on. */
function newestOf(dir: string): string {
  const [newest, ...before] = listBackups(dir)
  if (!newest) throw new BackupError(`There is no backup in ${dir}.`)
  if (endOf(newest.file) === null) return newest.file // what is the matter with it, the rehearsal says
  const db = openPlain(newest.file, { readonly: true })
  try {
    const unlike = missingHeads(db, before)
    if (unlike.length > 0)
      throw new BackupError(
        `The newest backup, ${newest.file}, does not go on from those before it. ${unlike.join(' ')} Name the one to restore: npm run restore -- FILE`,
      )
  } finally {
    db.close()
  }
  return newest.file
}

async function restore(file: string, { config, database }: Command): Promise<void> {
  const now = new Date()
  const aside = await putInUse(file, database, now)
  console.log(`It is in use now as ${database}.`)
  if (aside) console.log(`What was there before is kept as ${aside}.`)
  tellTroubles((await restorePhotos(file, config.dataDir, now)).troubles)
  const folder = setAside(config.backupDir, newerThan(file, config.backupDir), now)
  if (folder) console.log(`The newer backups are kept in ${folder}.`)
}

/** All but those older than it, when it is not one of them. */
function newerThan(file: string, dir: string) {
  const all = listBackups(dir)
  const index = all.findIndex(backup => path.resolve(backup.file) === file)
  return index < 0 ? [] : all.slice(0, index)
}

function tellTroubles(troubles: PhotoTrouble[]): void {
  if (troubles.length === 0) return
  process.exitCode = 1
  console.error('Not every picture is there:')
  for (const line of nameTroubles(troubles)) console.error(line)
}
