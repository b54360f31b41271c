// The depot's own tablets: only on them does a PIN work.

import { AppError } from '../../errors.ts'
import { inPassing } from '../engine/in-passing.ts'
import { createKept } from '../engine/kept.ts'
import type { Writer, Written } from '../engine/writer.ts'

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

export function createTablets(
  { db, write, moment, once, trail }: Writer,
  { endAllOn }: { endAllOn(tabletId: string): void },
): Tablets {
  const columns = `b.id, b.name, b.enrolled_at AS enrolledAt, p.name AS enrolledByName, b.revoked_at AS revokedAt,
    b.seen_at AS seenAt, b.clock_ahead_ms AS clockAheadMs FROM tablets b JOIN people p ON p.id = b.enrolled_by`
  const byToken = db.prepare<[string], Tablet>(
    `SELECT ${columns} WHERE b.token_hash = ? AND b.revoked_at IS NULL`,
  )
  const all = db.prepare<[], Tablet>(`SELECT ${columns} ORDER BY b.name`)
  const known = db.prepare<[string], object>(
    'SELECT name, enrolled_by AS enrolledBy FROM tablets WHERE id = ?',
  )
  const insert = db.prepare(`
    INSERT INTO tablets (id, name, token_hash, enrolled_at, enrolled_by)
    VALUES (@id, @name, @tokenHash, @at, @enrolledBy)`)
  const revoke = db.prepare(
    'UPDATE tablets SET revoked_at = @at, revoked_by = @by WHERE id = @id AND revoked_at IS NULL',
  )
  const told = db.prepare('UPDATE tablets SET seen_at = @at, clock_ahead_ms = @aheadMs WHERE id = @id')

  // Asked for with every page.
  const kept = createKept<{ tablet: Tablet | null }>(db, trail, {
    most: 2000,
    read: tokenHash => ({ tablet: byToken.get(tokenHash) ?? null }),
    spoiledBy: ({ table }) => (table === 'tablets' || table === 'people' ? 'all' : null),
  })

  return {
    findByToken: tokenHash => kept.get(tokenHash).tablet,
    list: () => all.all(),
    create: made =>
      write(() => once(known.get(made.id), made, () => void insert.run({ ...made, at: moment() }))),
    revoke: (id, by) =>
      write(() => {
        if (known.get(id) === undefined) throw new AppError('not found', 'There is no such tablet.')
        revoke.run({ id, by, at: moment() })
        endAllOn(id)
      }),
    tellTime: (id, aheadMs) => inPassing(db, () => told.run({ id, aheadMs, at: moment() })),
  }
}
