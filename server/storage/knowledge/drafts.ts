// Files being written. Each text kept names the one it was typed over: typed over an older one it is kept aside, and
// whoever typed it is shown both.

import { AppError } from '../../errors.ts'
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
  /** The newest text, and those kept aside that nobody has answered yet. */
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
  /** Every text still kept, oldest first. */
  texts(draftId: string): DraftText[]
  /** Those who wrote in it. */
  writers(draftId: string): string[]
  /** Gives the draft that is open on the path already, if there is one. */
  begin(draft: NewDraft): Draft
  /** Gives the text as kept; `aside` when another text was newer. Never refuses words for being late. */
  save(text: NewDraftText): DraftText
  /** From here on the draft is written over this edition: its writer has seen what changed there. */
  rebase(draftId: string, editionId: string): void
  end(draftId: string, how: 'published' | 'put away'): void
}

type Row = Omit<DraftText, 'pause' | 'aside'> & { pause: number; aside: number; settledAt: string | null }
type DraftRow = Omit<Draft, 'head' | 'asides'>

export function createDrafts({ db, write, moment }: Writer): Drafts {
  const columns = 'id, path, base_edition_id AS baseEditionId, begun_at AS begunAt, begun_by AS begunBy'
  const open = db.prepare<[], DraftRow>(`SELECT ${columns} FROM drafts WHERE ended_at IS NULL ORDER BY path`)
  const one = db.prepare<[string], DraftRow>(
    `SELECT ${columns} FROM drafts WHERE id = ? AND ended_at IS NULL`,
  )
  const byPath = db.prepare<[string], DraftRow>(
    `SELECT ${columns} FROM drafts WHERE path = ? AND ended_at IS NULL`,
  )
  const textsOf = db.prepare<[string], Row>(`
    SELECT t.id, t.draft_id AS draftId, t.seq, t.at, t.by, p.name AS byName, t.text, t.pause, t.aside,
      t.settled_at AS settledAt
    FROM draft_texts t JOIN people p ON p.id = t.by WHERE t.draft_id = ? ORDER BY t.seq`)
  const writersOf = db
    .prepare<[string], string>(
      'SELECT DISTINCT by FROM draft_texts WHERE draft_id = ? AND seq > 1 ORDER BY by',
    )
    .pluck()
  const insert = db.prepare(`
    INSERT INTO drafts (id, path, base_edition_id, begun_at, begun_by) VALUES (@id, @path, @baseEditionId, @at, @by)`)
  const insertText = db.prepare(`
    INSERT INTO draft_texts (id, draft_id, seq, at, by, text, pause, aside)
    VALUES (@id, @draftId, (SELECT coalesce(max(seq), 0) + 1 FROM draft_texts WHERE draft_id = @draftId), @at, @by,
      @text, @pause, @aside)`)
  const settle = db.prepare(
    'UPDATE draft_texts SET settled_at = @at WHERE id = @id AND draft_id = @draftId AND aside = 1',
  )
  const passOver = db.prepare(
    'DELETE FROM draft_texts WHERE id = @over AND by = @by AND pause = 1 AND seq > 1',
  )
  const rebase = db.prepare(
    'UPDATE drafts SET base_edition_id = @editionId WHERE id = @id AND ended_at IS NULL',
  )
  const finish = db.prepare(
    'UPDATE drafts SET ended_at = @at, ended_how = @how WHERE id = @id AND ended_at IS NULL',
  )

  function whole(row: DraftRow): Draft {
    const texts = textsOf.all(row.id)
    const head = texts.findLast(text => text.aside === 0)
    if (!head) throw new Error(`draft ${row.id} has no text`)
    return { ...row, head: shaped(head), asides: texts.filter(isOpenAside).map(shaped) }
  }

  function get(id: string): Draft {
    const row = one.get(id)
    if (!row)
      throw new AppError(
        'not found',
        'This draft was published or put away. What you typed is still on this page: copy it.',
      )
    return whole(row)
  }

  return {
    list: () => open.all().map(whole),
    findByPath(path) {
      const row = byPath.get(path)
      return row ? whole(row) : null
    },
    get,
    texts: id => textsOf.all(id).map(shaped),
    writers: id => writersOf.all(id),
    begin: ({ textId, text, ...made }) =>
      write(() => {
        const there = byPath.get(made.path)
        if (there) return whole(there)
        insert.run({ ...made, at: moment() })
        insertText.run({
          ...{ id: textId, draftId: made.id, by: made.by, text, pause: 0, aside: 0 },
          at: moment(),
        })
        return get(made.id)
      }),
    save: made =>
      write(() => {
        const draft = get(made.draftId)
        const known = textsOf.all(made.draftId).find(text => text.id === made.id)
        if (known) return shaped(known)
        const aside = draft.head.id !== made.over
        insertText.run({
          ...made,
          settles: null,
          at: moment(),
          pause: Number(made.pause),
          aside: Number(aside),
        })
        const own = draft.asides.some(text => text.id === made.over && text.by === made.by)
        if (!aside || own) passOver.run({ over: made.over, by: made.by })
        if (made.settles) settle.run({ id: made.settles, draftId: made.draftId, at: moment() })
        const kept = textsOf.all(made.draftId).find(text => text.id === made.id)
        if (!kept) throw new Error('a text was not kept')
        return shaped(kept)
      }),
    rebase: (id, editionId) => write(() => void rebase.run({ id, editionId })),
    end: (id, how) => write(() => void finish.run({ id, how, at: moment() })),
  }
}

function isOpenAside(row: Row): boolean {
  return row.aside === 1 && row.settledAt === null
}

function shaped({ settledAt: _settled, ...row }: Row): DraftText {
  return { ...row, pause: row.pause === 1, aside: row.aside === 1 }
}
