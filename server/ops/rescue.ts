// npm run rescue [-- --unit FILE]: when no engineer can sign in any more. Prints a setup code that is good for a day, once:
// with it an engineer's account is made at /setup, or one's PIN and password are set anew. The program may be running.
// Whoever may write the database may do this; the trail and the engineers' pages say that it was done.

import { existsSync } from 'node:fs'
import path from 'node:path'
import { newSetupCode } from '../auth/setup-code.ts'
import { hashToken } from '../auth/tokens.ts'
import { ConfigError } from '../config.ts'
import { root } from '../start.ts'
import { openDatabase } from '../storage/engine/database.ts'
import { schemaVersion } from '../storage/engine/migrate.ts'
import { readMigrations } from '../storage/engine/migration-files.ts'
import { createStorage } from '../storage/storage.ts'
import { type Command, runCommand } from './command.ts'

await runCommand({}, makeCode)

function makeCode({ config, database }: Command): void {
  if (!existsSync(database)) throw new ConfigError(`There is no database at ${database}.`)
  const db = openDatabase(database)
  try {
    if (schemaVersion(db) !== readMigrations(path.join(root, 'migrations')).length)
      throw new ConfigError('The database is of another version of the program. Start this one on it first.')
    const storage = createStorage(db, () => new Date(), { repeatWindowDays: config.repeatWindowDays })
    if (storage.people.count() === 0)
      throw new ConfigError('There are no accounts yet. The program prints a setup code when it is started.')
    const code = newSetupCode()
    storage.setupCodes.createRescue(hashToken(code.replaceAll('-', '')))
    console.log(
      `Make an engineer’s account, or set one’s PIN and password anew, at /setup with the code ${code}`,
    )
  } finally {
    db.close()
  }
}
