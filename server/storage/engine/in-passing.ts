// What is written beside a page that is only looked at: who was here last, what a tablet's clock said.

import type { Database } from './database.ts'
import { storageTrouble } from './trouble.ts'

/**
 * Nothing is lost with it in a power cut but a minute of somebody's session, so nobody waits for the disk; and where the
 * disk takes no more, the page can still be read.
 */
export function inPassing(db: Database, write: () => void): void {
  if (db.inTransaction) {
    write()
    return
  }
  db.pragma('synchronous = NORMAL')
  try {
    write()
  } catch (error) {
    if (storageTrouble(error) === null) throw error
  } finally {
    db.pragma('synchronous = FULL')
  }
}
