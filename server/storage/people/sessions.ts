import { createRowCache } from '../engine/row-cache.ts'
import { sql } from '../engine/sql.ts'
import { type Writer, writeUnsynced } from '../engine/writer.ts'

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
  /** Those of one person that were not ended, the newest first; some may have been left too long to go on. */
  listOpen(personId: string): OpenSession[]
  endAllOn(tabletId: string): void
  /** Those that ended before, or were last seen before and can't go on. Gives how many. */
  forget(before: string): number
}

const one = sql<[string], Session>(`
  SELECT person_id AS personId, tablet_id AS tabletId, started_at AS startedAt, seen_at AS seenAt
  FROM sessions WHERE token_hash = ? AND ended_at IS NULL`)
const open = sql<[string], OpenSession>(`
  SELECT s.token_hash AS tokenHash, t.name AS tabletName, s.started_at AS startedAt, s.seen_at AS seenAt
  FROM sessions s LEFT JOIN tablets t ON t.id = s.tablet_id
  WHERE s.person_id = ? AND s.ended_at IS NULL ORDER BY s.started_at DESC, s.token_hash`)
const insert = sql(`
  INSERT INTO sessions (token_hash, person_id, tablet_id, started_at, seen_at)
  VALUES (@tokenHash, @personId, @tabletId, @at, @at)`)
const touch = sql('UPDATE sessions SET seen_at = @at WHERE token_hash = @tokenHash AND ended_at IS NULL')
const end = sql('UPDATE sessions SET ended_at = @at WHERE token_hash = @tokenHash AND ended_at IS NULL')
const endAll = sql('UPDATE sessions SET ended_at = @at WHERE person_id = @personId AND ended_at IS NULL')
const endOn = sql('UPDATE sessions SET ended_at = @at WHERE tablet_id = @tabletId AND ended_at IS NULL')
const forget = sql('DELETE FROM sessions WHERE seen_at < @before AND coalesce(ended_at, seen_at) < @before')

export function createSessions({ db, write, moment, trail }: Writer): Sessions {
  // Asked for with every page.
  const cache = createRowCache<{ session: Session | null }>(db, trail, {
    maxEntries: 2000,
    read: tokenHash => ({ session: one(db).get(tokenHash) ?? null }),
    invalidates: ({ table, key }) => (table === 'sessions' ? key : null),
  })

  return {
    create: ({ tokenHash, personId, tabletId = null }) =>
      void write(() => insert(db).run({ tokenHash, personId, tabletId, at: moment() })),
    find: tokenHash => cache.get(tokenHash).session,
    touch(tokenHash) {
      writeUnsynced(db, () => touch(db).run({ tokenHash, at: moment() }))
      cache.invalidate(tokenHash)
    },
    end: tokenHash => void write(() => end(db).run({ tokenHash, at: moment() })),
    endAllOf: personId => void write(() => endAll(db).run({ personId, at: moment() })),
    listOpen: personId => open(db).all(personId),
    endAllOn: tabletId => void write(() => endOn(db).run({ tabletId, at: moment() })),
    forget: before => write(() => forget(db).run({ before })).changes,
  }
}
