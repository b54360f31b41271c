// npm run backup [-- --unit FILE]: copies the database and its pictures into BACKUP_DIR, verifies the copies, and removes
// the oldest. The program may be running. Prints the file. A picture that is lost or changed is named, and so is a backup
// made before that does not fit this database, and a table or trigger that is not as the program made it; the end is a
// failure then, though the backup is made.

import { existsSync } from 'node:fs'
import path from 'node:path'
import { root } from '../start.ts'
import { openDatabase } from '../storage/engine/database.ts'
import { readMigrations } from '../storage/engine/migration-files.ts'
import { backUp } from '../storage/safekeeping/backup.ts'
import { BackupError } from '../storage/safekeeping/backup-error.ts'
import { rotate, sweepParts } from '../storage/safekeeping/backup-folder.ts'
import { nameTroubles } from '../storage/safekeeping/photo-backup.ts'
import { type Command, runCommand } from './command.ts'

/** A backup that is still being made writes more often. */
const LEFT_AFTER_MS = 3 * 3_600_000

await runCommand({}, makeBackup)

async function makeBackup({ config: { dataDir, backupDir, backupKeep }, database }: Command): Promise<void> {
  if (!existsSync(database)) throw new BackupError(`There is no database at ${database}.`)
  sweepParts(backupDir, { before: new Date(Date.now() - LEFT_AFTER_MS) })
  const db = openDatabase(database)
  const { file, troubles, unlike, clock } = await backUp(
    db,
    dataDir,
    backupDir,
    new Date(),
    readMigrations(path.join(root, 'migrations')),
  )
  db.close()
  console.log(file)
  if (unlike.length > 0)
    throw new BackupError(`The backup is made, and none made before was removed. ${unlike.join(' ')}`)
  rotate(backupDir, backupKeep, new Date())
  if (troubles.length > 0)
    throw new BackupError(
      `The backup is made, but not every picture could be copied. ${nameTroubles(troubles).join(' ')}`,
    )
  if (clock) throw new BackupError(`The backup is made. ${clock}`)
}
