// The depot's own tablets: only on them does a PIN work.

import { AppError } from '../../errors.ts'
import { createRowCache } from '../engine/row-cache.ts'
import { sql } from '../engine/sql.ts'
import { type Writer, type Written, writeUnsynced } from '../engine/writer.ts'

export interface Tablet {
  id: string
  name: string
  enrolledAt: string
  enrolledByName: string
  revokedAt: string | null
  seenAt: string | null
  /** How far its clock was ahead of ours when it last told; null when it never did. */
  clockAheadMs: number | null
}

export interface NewTablet {
  id: string
  name: string
  tokenHash: string
  enrolledBy: string
}

export interface Tablets {
  /** Enrolled and not revoked. */
  findByToken(tokenHash: string): Tablet | null
  /** By name, those revoked too. */
  list(): Tablet[]
  /** 'conflict' when the name is taken. */
  create(tablet: NewTablet): Written
  /** Ends every session on it too. 'not found' when there is no such tablet; nothing happens when it was revoked before. */
  revoke(id: string, by: string): void
  /** What its clock said just now. */
  tellTime(id: string, aheadMs: number): void
}

const columns = `b.id, b.name, b.enrolled_at AS enrolledAt, p.name AS enrolledByName, b.revoked_at AS revokedAt,
  b.seen_at AS seenAt, b.clock_ahead_ms AS clockAheadMs FROM tablets b JOIN people p ON p.id = b.enrolled_by`
const byToken = sql<[string], Tablet>(`SELECT ${columns} WHERE b.token_hash = ? AND b.revoked_at IS NULL`)
const all = sql<[], Tablet>(`SELECT ${columns} ORDER BY b.name`)
const stored = sql<[string], object>('SELECT name, enrolled_by AS enrolledBy FROM tablets WHERE id = ?')
const insert = sql(`
  INSERT INTO tablets (id, name, token_hash, enrolled_at, enrolled_by)
  VALUES (@id, @name, @tokenHash, @at, @enrolledBy)`)
const revoke = sql(
  'UPDATE tablets SET revoked_at = @at, revoked_by = @by WHERE id = @id AND revoked_at IS NULL',
)
const told = sql('UPDATE tablets SET seen_at = @at, clock_ahead_ms = @aheadMs WHERE id = @id')

export function createTablets(
  { db, write, moment, once, trail }: Writer,
  { endAllOn }: { endAllOn(tabletId: string): void },
): Tablets {
  // Asked for with every page.
  const cache = createRowCache<{ tablet: Tablet | null }>(db, trail, {
    maxEntries: 2000,
    read: tokenHash => ({ tablet: byToken(db).get(tokenHash) ?? null }),
    invalidates: ({ table }) => (table === 'tablets' || table === 'people' ? 'all' : null),
  })

  return {
    findByToken: tokenHash => cache.get(tokenHash).tablet,
    list: () => all(db).all(),
    create: made =>
      write(() => once(stored(db).get(made.id), made, () => void insert(db).run({ ...made, at: moment() }))),
    revoke: (id, by) =>
      write(() => {
        if (stored(db).get(id) === undefined) throw new AppError('not found', 'There is no such tablet.')
        revoke(db).run({ id, by, at: moment() })
        endAllOn(id)
      }),
    tellTime: (id, aheadMs) => writeUnsynced(db, () => told(db).run({ id, aheadMs, at: moment() })),
  }
}
