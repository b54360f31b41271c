// npm run weekly: the week's sheet as text, from the database of the service. Reads only; the program may be running.

import { existsSync } from 'node:fs'
import { compile } from './knowledge/compile.ts'
import { runCommand } from './ops/command.ts'
import { weeklySheet, weeklyText } from './review/attention/weekly.ts'
import { openPlain } from './storage/engine/database.ts'
import { BackupError } from './storage/safekeeping/backup-error.ts'
import { createStorage } from './storage/storage.ts'
import { createTimes } from './times.ts'

await runCommand({}, ({ config, database }) => {
  if (!existsSync(database)) throw new BackupError(`There is no database at ${database}.`)
  const db = openPlain(database, { readonly: true })
  try {
    const clock = () => new Date()
    const storage = createStorage(db, clock, { repeatWindowDays: config.repeatWindowDays })
    const edition = storage.editions.newest()
    const { knowledge } = compile(edition === null ? [] : storage.editions.files(edition.id))
    if (!knowledge) throw new BackupError('The fault trees in use do not compile.')
    const library = { current: () => ({ knowledge }) }
    const source = { storage, library, clock, times: createTimes(config.timeZone), config }
    console.log(weeklyText(weeklySheet(source)))
  } finally {
    db.close()
  }
})
