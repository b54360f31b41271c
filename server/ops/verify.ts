// npm run verify: whether the database still says what the program wrote, has the tables and triggers it made, and goes on
// from what is in its backups. Reads only; the program may be running.
//   npm run verify [-- FILE] [--known HASH] [--unit FILE]

import { existsSync } from 'node:fs'
import path from 'node:path'
import { root } from '../start.ts'
import { openPlain } from '../storage/engine/database.ts'
import { readMigrations } from '../storage/engine/migration-files.ts'
import { BackupError } from '../storage/safekeeping/backup-error.ts'
import { type Backup, listBackups } from '../storage/safekeeping/backup-folder.ts'
import { type Verified, verifyDatabase } from '../storage/safekeeping/verify.ts'
import { runCommand } from './command.ts'

await runCommand({ known: { type: 'string' } }, ({ config, database, values, positionals }) => {
  const file = positionals[0] ?? database
  if (!existsSync(file)) throw new BackupError(`There is no database at ${file}.`)
  const backups = upTo(file, listBackups(config.backupDir))
  const verified = verify(file, knownHash(values.known), backups)
  process.exitCode = tell(file, verified, backups)
})

/** The 16 characters that a signed record shows are enough; fewer could fit an entry by chance. */
function knownHash(given: unknown): string | null {
  if (typeof given !== 'string') return null
  if (!/^[0-9a-f]{16,64}$/.test(given))
    throw new BackupError(
      '--known takes 16 characters or more of an entry’s hash, as a signed record shows it.',
    )
  return given
}

/** A backup can hold what those before it hold, and no more. */
function upTo(file: string, all: Backup[]): Backup[] {
  const index = all.findIndex(backup => path.resolve(backup.file) === path.resolve(file))
  return index < 0 ? all : all.slice(index)
}

function verify(file: string, known: string | null, backups: Backup[]): Verified {
  const db = openPlain(file, { readonly: true })
  try {
    return verifyDatabase(db, known, {
      migrations: readMigrations(path.join(root, 'migrations')),
      backups,
    })
  } finally {
    db.close()
  }
}

function tell(file: string, verified: Verified, backups: Backup[]): number {
  const { problems, entries, rows, signatures, head } = verified
  for (const problem of problems) console.error(problem)
  if (problems.length > 0) return 1
  console.log(
    `Everything holds in ${file}: ${rows} rows, ${entries} entries in the trail, ${signatures} signatures.`,
  )
  console.log(
    backups.length === 0
      ? 'There is no backup to hold it against.'
      : `It goes on from ${backups.length === 1 ? 'the one backup' : `all ${backups.length} backups`}.`,
  )
  if (head) console.log(`Keep this hash elsewhere, to verify against later: ${head}`)
  return 0
}
