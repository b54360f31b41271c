// npm run backup: copies the database and its pictures into BACKUP_DIR, verifies the copies, and removes the oldest. The
// program may be running. Prints the file. A picture that is lost or changed is named, and the end is a failure.

import { existsSync } from 'node:fs'
import path from 'node:path'
import { readConfig } from '../config.ts'
import { explains } from '../start.ts'
import { openDatabase } from '../storage/engine/database.ts'
import { backUp } from '../storage/safekeeping/backup.ts'
import { BackupError } from '../storage/safekeeping/backup-error.ts'
import { rotate } from '../storage/safekeeping/backup-folder.ts'
import { nameTroubles } from '../storage/safekeeping/photo-backup.ts'

try {
  const { dataDir, backupDir, backupKeep } = readConfig(process.env)
  const database = path.join(dataDir, 'fourfoot.db')
  if (!existsSync(database)) throw new BackupError(`There is no database at ${database}.`)
  const db = openDatabase(database)
  const { file, troubles } = await backUp(db, dataDir, backupDir, new Date())
  console.log(file)
  db.close()
  rotate(backupDir, backupKeep, new Date())
  if (troubles.length > 0)
    throw new BackupError(
      `The backup is made, but not every picture could be copied. ${nameTroubles(troubles).join(' ')}`,
    )
} catch (error) {
  process.exitCode = 1
  if (error instanceof BackupError) console.error(error.message)
  else if (!explains(error)) throw error
}
