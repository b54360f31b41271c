// The knowledge as published: whole, so that an old walk replays on what the technician saw.

import { AppError } from '../../errors.ts'
import { sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export interface EditionRow {
  id: string
  publishedAt: string
  publishedBy: string | null
  publishedByName: string | null
  note: string
}

export interface EditionFile {
  path: string
  text: string
  sha256: string
}

export interface NewEdition {
  id: string
  files: EditionFile[]
  publishedBy: string | null
  note: string
  at?: string
}

export interface Editions {
  newest(): EditionRow | null
  /** 'not found' when there is no such edition. */
  get(id: string): EditionRow
  /** Newest first. */
  list(): EditionRow[]
  /** The id stands for the content, so the same id is a repeat whoever publishes it. */
  create(edition: NewEdition): Written
  /** By path. */
  files(id: string): EditionFile[]
}

const one = sql<[string], EditionRow>(`
  SELECT e.id, e.published_at AS publishedAt, e.published_by AS publishedBy, p.name AS publishedByName, e.note
  FROM editions e LEFT JOIN people p ON p.id = e.published_by WHERE e.id = ?`)
const all = sql<[], EditionRow>(`
  SELECT e.id, e.published_at AS publishedAt, e.published_by AS publishedBy, p.name AS publishedByName, e.note
  FROM editions e LEFT JOIN people p ON p.id = e.published_by ORDER BY e.published_at DESC, e.seq DESC`)
const files = sql<[string], EditionFile>(
  'SELECT path, text, sha256 FROM edition_files WHERE edition_id = ? ORDER BY path',
)
const insert = sql(`
  INSERT INTO editions (id, seq, published_at, published_by, note)
  VALUES (@id, (SELECT coalesce(max(seq), 0) + 1 FROM editions), @at, @publishedBy, @note)`)
const insertFile = sql(
  'INSERT INTO edition_files (edition_id, path, sha256, text) VALUES (@id, @path, @sha256, @text)',
)

export function createEditions({ db, write, moment }: Writer): Editions {
  return {
    newest: () => all(db).get() ?? null,
    get(id) {
      const edition = one(db).get(id)
      if (edition === undefined) throw new AppError('not found', 'There is no such edition.')
      return edition
    },
    list: () => all(db).all(),
    create: ({ id, files, publishedBy, note, at }) =>
      write(() => {
        if (one(db).get(id) !== undefined) return { repeated: true }
        insert(db).run({ id, publishedBy, note, at: moment(at) })
        for (const file of files) insertFile(db).run({ id, ...file })
        return { repeated: false }
      }),
    files: id => files(db).all(id),
  }
}
