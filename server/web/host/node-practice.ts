// Databases for practice on a server: one in memory for each exercise, and a file that keeps what became of them.

import type { Chance } from '../../practice/chance.ts'
import { openDatabase } from '../../storage/engine/database.ts'
import { type Migration, migrate } from '../../storage/engine/migrate.ts'
import { createPracticeResults } from '../../storage/practice/results.ts'
import { createStorage } from '../../storage/storage.ts'
import type { PracticeHost } from '../deps.ts'

interface Options {
  /** The file of the results; `:memory:` for one that goes with the process. It is made when it is missing. */
  file: string
  migrations: Migration[]
  clock: () => Date
  chance: (seed: string) => Chance
}

/** `close` gives the file back. */
export function openPractice({ file, migrations, clock, chance }: Options): PracticeHost & { close(): void } {
  let template: Buffer | null = null
  const results = openDatabase(file)

  /** All migrations take a while, so they are made once and copied. */
  function empty(): Buffer {
    const db = openDatabase(':memory:')
    migrate(db, migrations, clock().toISOString())
    const bytes = db.serialize()
    db.close()
    return bytes
  }

  return {
    open() {
      template ??= empty()
      const storage = createStorage(openDatabase(template), clock)
      storage.trail.begin()
      return storage
    },
    results: createPracticeResults(results),
    chance,
    close: () => void results.close(),
  }
}
