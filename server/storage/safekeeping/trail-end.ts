// Where a database's trail begins and ends. Its first entry's hash stands for the database; with the number and the hash
// of a later one it can be told whether another database goes on from it.

import { type Connection, sql } from '../engine/sql.ts'

export interface TrailEnd {
  /** The hash of the first entry; null for a trail without entries. */
  database: string | null
  /** The number of the newest entry; 0 when there is none. */
  entries: number
  /** The hash of the newest entry. */
  head: string | null
}

const entry = sql<[number], { seq: number; hash: string }>('SELECT seq, hash FROM trail WHERE seq = ?')
const newest = sql<[], { seq: number; hash: string }>('SELECT seq, hash FROM trail ORDER BY seq DESC LIMIT 1')

/** Throws what SQLite throws when there is no trail, or it can't be read. */
export function trailEnd(db: Connection): TrailEnd {
  const last = newest(db).get()
  return { database: entry(db).get(1)?.hash ?? null, entries: last?.seq ?? 0, head: last?.hash ?? null }
}

/** Whether the database's trail goes on from that end: it has the same entry under the same number. */
export function holdsEntry(db: Connection, { entries, head }: Pick<TrailEnd, 'entries' | 'head'>): boolean {
  return head === null || entry(db).get(entries)?.hash === head
}
