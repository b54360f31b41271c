// The trail as the program reads it, and what happened without a row of its own: a wrong PIN, a released wait.

import type { Entry } from './trail-keeper.ts'
import { contentOf, keyOf, type Value, watchedTables } from './watched.ts'
import type { Writer } from './writer.ts'

export type TrailEntry = Entry & { hash: string; personName: string | null; tabletName: string | null }

export interface Trail {
  /** Newest first, those before `before` when given. */
  list(which: { limit: number; before?: number }): TrailEntry[]
  /** Newest first, of one kind of event since a time. */
  listHappened(subject: string, since: string): TrailEntry[]
  happened(event: { subject: string; key: string; words: Record<string, string | number | null> }): void
  /** The newest entry: whoever keeps a copy of it elsewhere can tell that nothing before it was changed or lost. */
  head(): { seq: number; hash: string } | null
  /** For a database from before there was a trail: an entry for each row there is. Nothing when the trail has begun. */
  begin(): void
}

export function createTrail({ db, write, trail }: Writer): Trail {
  const columns = `t.seq, t.at, t.person_id AS personId, t.tablet_id AS tabletId, t.what, t.subject, t.key, t.old, t.new,
    t.content, t.previous, t.hash, p.name AS personName, b.name AS tabletName
    FROM trail t LEFT JOIN people p ON p.id = t.person_id LEFT JOIN tablets b ON b.id = t.tablet_id`
  const list = db.prepare<object, TrailEntry>(
    `SELECT ${columns} WHERE t.seq < @before ORDER BY t.seq DESC LIMIT @limit`,
  )
  const happened = db.prepare<object, TrailEntry>(
    `SELECT ${columns} WHERE t.what = 'happened' AND t.subject = @subject AND t.at >= @since ORDER BY t.seq DESC`,
  )
  const head = db.prepare<[], { seq: number; hash: string }>(
    'SELECT seq, hash FROM trail ORDER BY seq DESC LIMIT 1',
  )

  function noteAll(): void {
    for (const table of watchedTables(db)) {
      const rows = db.prepare<[], Value[]>(
        `SELECT ${table.columns.map(name => `"${name}"`)} FROM "${table.name}"`,
      )
      for (const row of rows.raw().all()) {
        const content = contentOf(table, row)
        trail.note({
          what: 'added',
          subject: table.name,
          key: keyOf(table, row),
          old: null,
          new: null,
          content,
        })
      }
    }
  }

  return {
    list: ({ limit, before = Number.MAX_SAFE_INTEGER }) => list.all({ limit, before }),
    listHappened: (subject, since) => happened.all({ subject, since }),
    happened: ({ subject, key, words }) =>
      write(() =>
        trail.note({ what: 'happened', subject, key, old: null, new: JSON.stringify(words), content: null }),
      ),
    head: () => head.get() ?? null,
    begin: () => {
      if (head.get() === undefined) write(noteAll)
    },
  }
}
