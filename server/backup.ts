// npm run backup: copies the database into BACKUP_DIR, verifies the copy, and removes the oldest. The program may be
// running. Prints the file.

import { existsSync } from 'node:fs'
import path from 'node:path'
import { readConfig } from './config.ts'
import { explains } from './start.ts'
import { BackupError, backUp, rotate } from './storage/backup.ts'
import { openDatabase } from './storage/database.ts'

try {
  const { dataDir, backupDir, backupKeep } = readConfig(process.env)
  const database = path.join(dataDir, 'fourfoot.db')
  if (!existsSync(database)) throw new BackupError(`There is no database at ${database}.`)
  const db = openDatabase(database)
  console.log(await backUp(db, backupDir, new Date()))
  db.close()
  rotate(backupDir, backupKeep)
} catch (error) {
  process.exitCode = 1
  if (error instanceof BackupError) console.error(error.message)
  else if (!explains(error)) throw error
}
