// npm run restore [-- FILE] [--rehearse]: puts a backup (the newest in BACKUP_DIR unless given) in the database's place,
// after a rehearsal; with --rehearse only that, kept on record in BACKUP_DIR/rehearsals.log.

import { appendFileSync } from 'node:fs'
import path from 'node:path'
import { parseArgs } from 'node:util'
import { readConfig } from './config.ts'
import { explains, root } from './start.ts'
import { BackupError, listBackups } from './storage/backup.ts'
import { readMigrations } from './storage/migrate.ts'
import { putInUse, rehearse } from './storage/restore.ts'

const options = { rehearse: { type: 'boolean' } } as const

try {
  const { values, positionals } = parseArgs({ options, allowPositionals: true })
  const { dataDir, backupDir } = readConfig(process.env)
  const file = positionals[0] ?? listBackups(backupDir)[0]?.file
  if (!file) throw new BackupError(`There is no backup in ${backupDir}.`)
  const done = await rehearse(file, readMigrations(path.join(root, 'migrations')), new Date())
  appendFileSync(path.join(backupDir, 'rehearsals.log'), `${JSON.stringify(done)}\n`)
  console.log(
    `${done.file} opens, migrates and counts right: ${done.rows} rows, ${done.signatures} signatures, ${done.seconds} s.`,
  )
  if (!values.rehearse) await restore(file, path.join(dataDir, 'fourfoot.db'))
} catch (error) {
  process.exitCode = 1
  if (error instanceof BackupError) console.error(error.message)
  else if (!explains(error)) throw error
}

async function restore(file: string, database: string): Promise<void> {
  const aside = await putInUse(file, database, new Date())
  console.log(`It is in use now as ${database}.`)
  if (aside) console.log(`What was there before is kept as ${aside}.`)
}
