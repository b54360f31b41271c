// A process that stops dead in the middle of a migration. Usage: half-migrated.ts DATABASE

import { writeSync } from 'node:fs'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { migrate } from '../../../server/storage/engine/migrate.ts'
import { halfWay } from './half-way.ts'

const db = openDatabase(process.argv[2] ?? '')
db.function('stop', () => {
  writeSync(1, 'half way\n')
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0)
  return null
})
migrate(db, halfWay(true), '2026-03-02T08:00:00.000Z')
