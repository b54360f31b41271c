// Files being written. Each saved text names the one it was typed over: typed over an older one it is put aside, and its
// writer is shown both.

import { AppError } from '../../errors.ts'
import { type Connection, nextSeq, scalar, sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface DraftText {
  id: string
  draftId: string
  seq: number
  at: string
  by: string
  byName: string
  /** Null: the file is to be taken out. */
  text: string | null
  pause: boolean
  aside: boolean
}

export interface Draft {
  id: string
  path: string
  baseEditionId: string
  begunAt: string
  begunBy: string
  /** The newest text, and those put aside that no later text has settled. */
  head: DraftText
  asides: DraftText[]
}

export interface NewDraft {
  id: string
  path: string
  baseEditionId: string
  by: string
  textId: string
  text: string | null
}

export interface NewDraftText {
  id: string
  draftId: string
  /** The text it was typed over. */
  over: string
  by: string
  text: string | null
  /** Kept by itself while typing: the person's next text may take its place. */
  pause: boolean
  /** An aside that this text answers. */
  settles?: string | null
}

export interface Drafts {
  /** Drafts not ended, by path. */
  list(): Draft[]
  findByPath(path: string): Draft | null
  /** An open draft. 'not found' when there is none, or it has ended. */
  get(id: string): Draft
  /** Every text that is still stored, oldest first. */
  texts(draftId: string): DraftText[]
  /** Those who wrote in it. */
  writers(draftId: string): string[]
  /** Gives the draft that is open on the path already, if there is one. */
  begin(draft: NewDraft): Draft
  /** Gives the text as saved; `aside` when another text was newer. Never refuses words for being late. */
  save(text: NewDraftText): DraftText
  /** From here on the draft is written over this edition: its writer has seen what changed there. */
  rebase(draftId: string, editionId: string): void
  end(draftId: string, how: 'published' | 'put away'): void
}

type Row = Omit<DraftText, 'pause' | 'aside'> & { pause: number; aside: number; settledAt: string | null }
type DraftRow = Omit<Draft, 'head' | 'asides'>

const columns = 'id, path, base_edition_id AS baseEditionId, begun_at AS begunAt, begun_by AS begunBy'
const open = sql<[], DraftRow>(`SELECT ${columns} FROM drafts WHERE ended_at IS NULL ORDER BY path`)
const one = sql<[string], DraftRow>(`SELECT ${columns} FROM drafts WHERE id = ? AND ended_at IS NULL`)
const byPath = sql<[string], DraftRow>(`SELECT ${columns} FROM drafts WHERE path = ? AND ended_at IS NULL`)
const textsOf = sql<[string], Row>(`
  SELECT t.id, t.draft_id AS draftId, t.seq, t.at, t.by, p.name AS byName, t.text, t.pause, t.aside,
    t.settled_at AS settledAt
  FROM draft_texts t JOIN people p ON p.id = t.by WHERE t.draft_id = ? ORDER BY t.seq`)
const writersOf = scalar<[string], string>(
  'SELECT DISTINCT by FROM draft_texts WHERE draft_id = ? AND seq > 1 ORDER BY by',
)
const insert = sql(`
  INSERT INTO drafts (id, path, base_edition_id, begun_at, begun_by) VALUES (@id, @path, @baseEditionId, @at, @by)`)
const insertText = sql(`
  INSERT INTO draft_texts (id, draft_id, seq, at, by, text, pause, aside)
  VALUES (@id, @draftId, ${nextSeq('draft_texts', 'draft_id', '@draftId')}, @at, @by,
    @text, @pause, @aside)`)
const settle = sql(
  'UPDATE draft_texts SET settled_at = @at WHERE id = @id AND draft_id = @draftId AND aside = 1',
)
const passOver = sql('DELETE FROM draft_texts WHERE id = @over AND by = @by AND pause = 1 AND seq > 1')
const rebase = sql('UPDATE drafts SET base_edition_id = @editionId WHERE id = @id AND ended_at IS NULL')
const finish = sql('UPDATE drafts SET ended_at = @at, ended_how = @how WHERE id = @id AND ended_at IS NULL')

export function createDrafts(writer: Writer): Drafts {
  const { db, write, moment } = writer
  return {
    list: () =>
      open(db)
        .all()
        .map(row => whole(db, row)),
    findByPath(path) {
      const row = byPath(db).get(path)
      return row ? whole(db, row) : null
    },
    get: id => get(db, id),
    texts: id => textsOf(db).all(id).map(shaped),
    writers: id => writersOf(db).all(id),
    begin: ({ textId, text, ...made }) =>
      write(() => {
        const openDraft = byPath(db).get(made.path)
        if (openDraft) return whole(db, openDraft)
        insert(db).run({ ...made, at: moment() })
        const first = { id: textId, draftId: made.id, by: made.by, text, pause: 0, aside: 0 }
        insertText(db).run({ ...first, at: moment() })
        return get(db, made.id)
      }),
    save: made => write(() => save(writer, made)),
    rebase: (id, editionId) => write(() => void rebase(db).run({ id, editionId })),
    end: (id, how) => write(() => void finish(db).run({ id, how, at: moment() })),
  }
}

function get(db: Connection, id: string): Draft {
  const row = one(db).get(id)
  if (row) return whole(db, row)
  throw new AppError(
    'not found',
    'This draft was published or put away. What you typed is still on this page: copy it.',
  )
}

function whole(db: Connection, row: DraftRow): Draft {
  const texts = textsOf(db).all(row.id)
  const head = texts.findLast(text => text.aside === 0)
  if (!head) throw new Error(`draft ${row.id} has no text`)
  return { ...row, head: shaped(head), asides: texts.filter(isOpenAside).map(shaped) }
}

/** A text written over one that is no longer the head is put aside; one that was only a pause is replaced. */
function save({ db, moment }: Writer, made: NewDraftText): DraftText {
  const draft = get(db, made.draftId)
  const stored = textWithId(db, made)
  if (stored) return shaped(stored)
  const aside = draft.head.id !== made.over
  const row = { ...made, settles: null, pause: Number(made.pause), aside: Number(aside) }
  insertText(db).run({ ...row, at: moment() })
  const overOwnAside = draft.asides.some(text => text.id === made.over && text.by === made.by)
  if (!aside || overOwnAside) passOver(db).run({ over: made.over, by: made.by })
  if (made.settles) settle(db).run({ id: made.settles, draftId: made.draftId, at: moment() })
  const saved = textWithId(db, made)
  if (!saved) throw new Error('a text was not saved')
  return shaped(saved)
}

function textWithId(db: Connection, { draftId, id }: { draftId: string; id: string }): Row | undefined {
  return textsOf(db)
    .all(draftId)
    .find(text => text.id === id)
}

function isOpenAside(row: Row): boolean {
  return row.aside === 1 && row.settledAt === null
}

function shaped({ settledAt: _settled, ...row }: Row): DraftText {
  return { ...row, pause: row.pause === 1, aside: row.aside === 1 }
}
