import type { Writer } from './writer.ts'

export interface Session {
  personId: string
  startedAt: string
  seenAt: string
}

export interface Sessions {
  create(session: { tokenHash: string; personId: string }): void
  /** null when unknown or ended. */
  find(tokenHash: string): Session | null
  touch(tokenHash: string): void
  end(tokenHash: string): void
  endAllOf(personId: string): void
}

export function createSessions({ db, moment }: Writer): Sessions {
  const one = db.prepare<[string], Session>(`
    SELECT person_id AS personId, started_at AS startedAt, seen_at AS seenAt
    FROM sessions WHERE token_hash = ? AND ended_at IS NULL`)
  const insert = db.prepare(`
    INSERT INTO sessions (token_hash, person_id, started_at, seen_at) VALUES (@tokenHash, @personId, @at, @at)`)
  const touch = db.prepare(
    'UPDATE sessions SET seen_at = @at WHERE token_hash = @tokenHash AND ended_at IS NULL',
  )
  const end = db.prepare(
    'UPDATE sessions SET ended_at = @at WHERE token_hash = @tokenHash AND ended_at IS NULL',
  )
  const endAll = db.prepare(
    'UPDATE sessions SET ended_at = @at WHERE person_id = @personId AND ended_at IS NULL',
  )

  return {
    create: ({ tokenHash, personId }) => void insert.run({ tokenHash, personId, at: moment() }),
    find: tokenHash => one.get(tokenHash) ?? null,
    touch: tokenHash => void touch.run({ tokenHash, at: moment() }),
    end: tokenHash => void end.run({ tokenHash, at: moment() }),
    endAllOf: personId => void endAll.run({ personId, at: moment() }),
  }
}
