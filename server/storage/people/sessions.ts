import { inPassing } from '../engine/in-passing.ts'
import { createKept } from '../engine/kept.ts'
import type { Writer } from '../engine/writer.ts'

export interface Session {
  personId: string
  tabletId: string | null
  startedAt: string
  seenAt: string
}

export type OpenSession = Omit<Session, 'personId' | 'tabletId'> & {
  tokenHash: string
  /** null on a browser that is no tablet of the depot. */
  tabletName: string | null
}

export interface Sessions {
  create(session: { tokenHash: string; personId: string; tabletId?: string | null }): void
  /** null when unknown or ended. */
  find(tokenHash: string): Session | null
  touch(tokenHash: string): void
  end(tokenHash: string): void
  endAllOf(personId: string): void
  /** Those of one person that nobody ended, the newest first; some may have been left too long to go on. */
  listOpen(personId: string): OpenSession[]
  endAllOn(tabletId: string): void
  /** Those that ended before, or were last seen before and can't go on. Gives how many. */
  forget(before: string): number
}

export function createSessions({ db, write, moment, trail }: Writer): Sessions {
  const one = db.prepare<[string], Session>(`
    SELECT person_id AS personId, tablet_id AS tabletId, started_at AS startedAt, seen_at AS seenAt
    FROM sessions WHERE token_hash = ? AND ended_at IS NULL`)
  const open = db.prepare<[string], OpenSession>(`
    SELECT s.token_hash AS tokenHash, t.name AS tabletName, s.started_at AS startedAt, s.seen_at AS seenAt
    FROM sessions s LEFT JOIN tablets t ON t.id = s.tablet_id
    WHERE s.person_id = ? AND s.ended_at IS NULL ORDER BY s.started_at DESC, s.token_hash`)
  const insert = db.prepare(`
    INSERT INTO sessions (token_hash, person_id, tablet_id, started_at, seen_at)
    VALUES (@tokenHash, @personId, @tabletId, @at, @at)`)
  const touch = db.prepare(
    'UPDATE sessions SET seen_at = @at WHERE token_hash = @tokenHash AND ended_at IS NULL',
  )
  const end = db.prepare(
    'UPDATE sessions SET ended_at = @at WHERE token_hash = @tokenHash AND ended_at IS NULL',
  )
  const endAll = db.prepare(
    'UPDATE sessions SET ended_at = @at WHERE person_id = @personId AND ended_at IS NULL',
  )
  const endOn = db.prepare(
    'UPDATE sessions SET ended_at = @at WHERE tablet_id = @tabletId AND ended_at IS NULL',
  )
  const forget = db.prepare(
    'DELETE FROM sessions WHERE seen_at < @before AND coalesce(ended_at, seen_at) < @before',
  )

  // Asked for with every page.
  const kept = createKept<{ session: Session | null }>(db, trail, {
    most: 2000,
    read: tokenHash => ({ session: one.get(tokenHash) ?? null }),
    spoiledBy: ({ table, key }) => (table === 'sessions' ? key : null),
  })

  return {
    create: ({ tokenHash, personId, tabletId = null }) =>
      void write(() => insert.run({ tokenHash, personId, tabletId, at: moment() })),
    find: tokenHash => kept.get(tokenHash).session,
    touch(tokenHash) {
      inPassing(db, () => touch.run({ tokenHash, at: moment() }))
      kept.forget(tokenHash)
    },
    end: tokenHash => void write(() => end.run({ tokenHash, at: moment() })),
    endAllOf: personId => void write(() => endAll.run({ personId, at: moment() })),
    listOpen: personId => open.all(personId),
    endAllOn: tabletId => void write(() => endOn.run({ tabletId, at: moment() })),
    forget: before => write(() => forget.run({ before })).changes,
  }
}
