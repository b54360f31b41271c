// What may prevent the database from being written or read, in words that say what to do. In each case the whole
// transaction was rolled back: nothing is half written, and what was acknowledged before stays.

import { sqliteCode } from './sql.ts'

const words: [prefix: string, words: string][] = [
  [
    'SQLITE_FULL',
    'The disk of the database is full, so nothing can be recorded. Tell the engineer to make room.',
  ],
  [
    'SQLITE_READONLY_DBMOVED',
    'The database file was replaced or removed, so nothing can be recorded. Tell the engineer.',
  ],
  ['SQLITE_READONLY', 'The database can’t be written: its disk or file is read-only. Tell the engineer.'],
  ['SQLITE_BUSY', 'The database is held by another program. Wait a moment and send it again.'],
  ['SQLITE_LOCKED', 'The database is held by another program. Wait a moment and send it again.'],
  [
    'SQLITE_CORRUPT',
    'The database is damaged. Stop recording and tell the engineer to restore the newest backup.',
  ],
  [
    'SQLITE_NOTADB',
    'The file is not a database, or is damaged. Tell the engineer to restore the newest backup.',
  ],
  [
    'SQLITE_CANTOPEN',
    'The database file can’t be opened. Tell the engineer to look at its folder and its rights.',
  ],
  ['SQLITE_IOERR', 'The disk of the database does not answer as it should. Tell the engineer.'],
]

/** What is the matter with the database, as a sentence; null when the error is of another kind. */
export function storageTrouble(error: unknown): string | null {
  const code = sqliteCode(error)
  return words.find(([prefix]) => code?.startsWith(prefix))?.[1] ?? null
}
