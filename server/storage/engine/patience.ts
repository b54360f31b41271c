// How long a write waits for another program's lock. All requests wait with it, as there is one process: so the first
// waits as long as the connection says, and those after it do not wait at all until one gets through.

import { type Connection, sqliteCode } from './sql.ts'

const waits = new WeakMap<Connection, number>()

/** Runs a write; throws what it throws. */
export function withPatience<T>(db: Connection, write: () => T): T {
  try {
    const result = write()
    const usual = waits.get(db)
    if (usual !== undefined) {
      waits.delete(db)
      db.pragma(`busy_timeout = ${usual}`)
    }
    return result
  } catch (error) {
    if (sqliteCode(error)?.startsWith('SQLITE_BUSY') && !waits.has(db)) {
      waits.set(db, Number(db.pragma('busy_timeout', { simple: true })))
      db.pragma('busy_timeout = 0')
    }
    throw error
  }
}
