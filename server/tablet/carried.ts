// The tables of a copy, made into a database of this tablet's.

import { type Migration, migrate } from '../storage/engine/migrate.ts'
import { type CopiedTable, loadCopy } from '../storage/exchange/tablet-copy.ts'
import type { TabletDatabase } from './sqlite.ts'

export interface Filling {
  migrations: Migration[]
  tables: CopiedTable[]
  now: string
}

/** Fills an empty database with a copy of the same schema. */
export function openCarried(db: TabletDatabase, { migrations, tables, now }: Filling): void {
  migrate(db, migrations, now)
  db.withoutTriggers(() => loadCopy(db, tables))
  withoutNumbers(db)
}

/** The depot alone gives faults their numbers: two tablets would give the same one. */
export function withoutNumbers(db: TabletDatabase): void {
  db.exec('DROP TRIGGER IF EXISTS faults_numbered')
}
