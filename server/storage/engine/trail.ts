// The trail as the program reads it, and what happened without a row of its own: a wrong PIN, a released wait.

import { type Connection, sql } from './sql.ts'
import type { Entry, TrailRecorder } from './trail-recorder.ts'
import { contentOf, keyOf, type Value, watchedTables } from './watched.ts'
import type { Writer } from './writer.ts'

export type TrailEntry = Entry & { hash: string; personName: string | null; tabletName: string | null }

export interface Trail {
  /** Newest first, those before `before` when given. */
  list(which: { limit: number; before?: number }): TrailEntry[]
  /** Newest first, of one kind of event since a time. */
  listHappened(subject: string, since: string): TrailEntry[]
  happened(event: { subject: string; key: string; words: Record<string, string | number | null> }): void
  /** The newest entry. With a copy of it elsewhere one can tell that no entry before it was changed or lost. */
  head(): { seq: number; hash: string } | null
  /** For a database from before there was a trail: an entry for each row there is. Nothing when the trail has begun. */
  begin(): void
}

const columns = `t.seq, t.at, t.person_id AS personId, t.tablet_id AS tabletId, t.what, t.subject, t.key, t.old, t.new,
  t.content, t.previous, t.hash, p.name AS personName, b.name AS tabletName
  FROM trail t LEFT JOIN people p ON p.id = t.person_id LEFT JOIN tablets b ON b.id = t.tablet_id`
const list = sql<object, TrailEntry>(
  `SELECT ${columns} WHERE t.seq < @before ORDER BY t.seq DESC LIMIT @limit`,
)
const listHappened = sql<object, TrailEntry>(
  `SELECT ${columns} WHERE t.what = 'happened' AND t.subject = @subject AND t.at >= @since ORDER BY t.seq DESC`,
)
const newest = sql<[], { seq: number; hash: string }>('SELECT seq, hash FROM trail ORDER BY seq DESC LIMIT 1')

export function createTrail({ db, write, trail }: Writer): Trail {
  return {
    list: ({ limit, before = Number.MAX_SAFE_INTEGER }) => list(db).all({ limit, before }),
    listHappened: (subject, since) => listHappened(db).all({ subject, since }),
    happened: ({ subject, key, words }) =>
      write(() =>
        trail.note({ what: 'happened', subject, key, old: null, new: JSON.stringify(words), content: null }),
      ),
    head: () => newest(db).get() ?? null,
    begin: () => {
      if (newest(db).get() === undefined) write(() => noteEveryRow(db, trail))
    },
  }
}

function noteEveryRow(db: Connection, trail: TrailRecorder): void {
  for (const table of watchedTables(db)) {
    const columns = table.columns.map(name => `"${name}"`)
    const rows = db.prepare<[], Value[]>(`SELECT ${columns} FROM "${table.name}"`)
    for (const row of rows.raw().all()) {
      const note = {
        what: 'added',
        subject: table.name,
        key: keyOf(table, row),
        old: null,
        new: null,
      } as const
      trail.note({ ...note, content: contentOf(table, row) })
    }
  }
}
