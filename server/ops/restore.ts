// npm run restore [-- FILE] [--rehearse]: puts a backup (the newest in BACKUP_DIR unless given) in the database's place,
// after a rehearsal, and its pictures with it; with --rehearse only that, kept on record in BACKUP_DIR/rehearsals.log.
// A picture that is not as it was backed up is named and fails a rehearsal; it does not keep all else from being restored.

import { appendFileSync } from 'node:fs'
import path from 'node:path'
import { parseArgs } from 'node:util'
import { readConfig } from '../config.ts'
import { explains, root } from '../start.ts'
import { readMigrations } from '../storage/engine/migration-files.ts'
import { BackupError } from '../storage/safekeeping/backup-error.ts'
import { listBackups } from '../storage/safekeeping/backup-folder.ts'
import { nameTroubles, type PhotoTrouble, restorePhotos } from '../storage/safekeeping/photo-backup.ts'
import { putInUse, rehearse } from '../storage/safekeeping/restore.ts'

const options = { rehearse: { type: 'boolean' } } as const

try {
  const { values, positionals } = parseArgs({ options, allowPositionals: true })
  const { dataDir, backupDir } = readConfig(process.env)
  const file = positionals[0] ?? listBackups(backupDir)[0]?.file
  if (!file) throw new BackupError(`There is no backup in ${backupDir}.`)
  const done = await rehearse(file, readMigrations(path.join(root, 'migrations')), new Date())
  appendFileSync(path.join(backupDir, 'rehearsals.log'), `${JSON.stringify(done)}\n`)
  console.log(
    `${done.file} opens, migrates and counts right: ${done.rows} rows, ${done.signatures} signatures, ${done.photos - done.troubles.length} of ${done.photos} pictures, ${done.seconds} s.`,
  )
  if (values.rehearse) tellTroubles(done.troubles)
  else await restore(file, dataDir)
} catch (error) {
  process.exitCode = 1
  if (error instanceof BackupError) console.error(error.message)
  else if (!explains(error)) throw error
}

async function restore(file: string, dataDir: string): Promise<void> {
  const now = new Date()
  const database = path.join(dataDir, 'fourfoot.db')
  const aside = await putInUse(file, database, now)
  console.log(`It is in use now as ${database}.`)
  if (aside) console.log(`What was there before is kept as ${aside}.`)
  tellTroubles((await restorePhotos(file, dataDir, now)).troubles)
}

function tellTroubles(troubles: PhotoTrouble[]): void {
  if (troubles.length === 0) return
  process.exitCode = 1
  console.error('Not every picture is there:')
  for (const line of nameTroubles(troubles)) console.error(line)
}
