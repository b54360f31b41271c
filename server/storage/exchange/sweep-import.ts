// Taking away what an import has written that never came in force.

import { scalar, sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

/** By an engineer; by the end of the program; by something that went wrong. */
export type WhyGivenUp = 'cancelled' | 'stopped' | 'failed'

const named = scalar<[string, number], string>('SELECT key FROM not_in_force WHERE subject = ? LIMIT ?')
const unname = sql<[string, string]>('DELETE FROM not_in_force WHERE subject = ? AND key = ?')
/** In this order: what points at a fault goes before it. */
const ofFault = ['conditions', 'closures', 'imported_faults'].map(table =>
  sql<[string]>(`DELETE FROM ${table} WHERE fault_id = ?`),
)
const fault = sql<[string]>('DELETE FROM faults WHERE id = ?')
const day = sql<[string]>('DELETE FROM daily_temperatures WHERE day = ?')
const record = sql('INSERT INTO given_up_imports (import_id, at, why) VALUES (@id, @at, @why)')

/** Takes away at most so many rows; true when none is left, and the import is recorded as given up. */
export function createSweep({ db, writeAhead, moment }: Writer): (rows: number, why: WhyGivenUp) => boolean {
  const removals = {
    faults: [...ofFault, fault],
    daily_temperatures: [day],
  }
  return (rows, why) =>
    writeAhead(() => {
      let left = rows
      for (const [subject, deletes] of Object.entries(removals)) {
        for (const key of named(db).all(subject, left)) {
          for (const remove of deletes) remove(db).run(key)
          unname(db).run(subject, key)
          left -= 1
        }
      }
      if (left === 0) return false
      for (const id of named(db).all('imports', 1)) {
        record(db).run({ id, at: moment(), why })
        unname(db).run('imports', id)
      }
      return true
    })
}
