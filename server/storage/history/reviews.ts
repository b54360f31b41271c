// From finding to action: a review of a repeat, who owns it, what is suspected, what is done about it by when, and what
// came of it. Each entry says the whole state from then on; nothing earlier is changed.

import { AppError } from '../../errors.ts'
import { nextSeq, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export interface ReviewState {
  /** Id of a person. */
  owner: string
  cause: string
  action: string
  /** Day, `2026-05-31`. */
  due: string | null
  /** The day the action was done: from then on it is watched whether the failure stays away. */
  doneOn: string | null
  result: string
  closed: boolean
}

export interface ReviewEntry extends ReviewState {
  id: string
  reviewId: string
  at: string
  by: string
  byName: string
  ownerName: string
}

export interface Review extends ReviewEntry {
  positionId: string
  positionName: string
  siteId: string
  siteName: string
  openedAt: string
  openedBy: string
  why: string
}

export interface NewReview extends ReviewState {
  id: string
  positionId: string
  by: string
  why: string
}

export type NewReviewEntry = ReviewState & { id: string; reviewId: string; by: string }

export interface Reviews {
  /** With its first entry, which takes the review's id. */
  open(review: NewReview): Written
  /** 'not found' without such a review; 'conflict' when it is closed. */
  add(entry: NewReviewEntry): Written
  /** As it stands. 'not found' when there is none. */
  get(id: string): Review
  /** Oldest first. */
  entries(reviewId: string): ReviewEntry[]
  /** Those not closed, the soonest due first. */
  listOpen(): Review[]
  /** Newest first. */
  listByPosition(positionId: string): Review[]
}

type Row<T> = Omit<T, 'closed'> & { closed: number }

const STATE = `e.id, e.review_id AS reviewId, e.at, e.by, b.name AS byName, e.owner, o.name AS ownerName, e.cause,
  e.action, e.due, e.done_on AS doneOn, e.result, e.closed`
const PEOPLE = 'JOIN people b ON b.id = e.by JOIN people o ON o.id = e.owner'
const SELECT = `
  SELECT ${STATE.replace('e.id,', 'r.id,')}, r.position_id AS positionId, p.name AS positionName, s.id AS siteId,
  s.name AS siteName, r.at AS openedAt, q.name AS openedBy, r.why
  FROM reviews r JOIN people q ON q.id = r.by JOIN positions p ON p.id = r.position_id JOIN sites s ON s.id = p.site_id
  JOIN review_entries e ON e.review_id = r.id
    AND e.seq = (SELECT max(seq) FROM review_entries WHERE review_id = r.id) ${PEOPLE}`

const stored = sql<[string], object>('SELECT position_id AS positionId, by, why FROM reviews WHERE id = ?')
const insert = sql(
  'INSERT INTO reviews (id, position_id, at, by, why) VALUES (@id, @positionId, @at, @by, @why)',
)
const storedEntry = sql<[string], object>(`
  SELECT review_id AS reviewId, by, owner, cause, action, due, done_on AS doneOn, result, closed
  FROM review_entries WHERE id = ?`)
const insertEntry = sql(`
  INSERT INTO review_entries (id, review_id, seq, at, by, owner, cause, action, due, done_on, result, closed)
  VALUES (@id, @reviewId, ${nextSeq('review_entries', 'review_id', '@reviewId')}, @at, @by,
    @owner, @cause, @action, @due, @doneOn, @result, @closed)`)
const one = sql<[string], Row<Review>>(`${SELECT} WHERE r.id = ?`)
const open = sql<[], Row<Review>>(`${SELECT} WHERE e.closed = 0 ORDER BY coalesce(e.due, '9999'), r.at, r.id`)
const byPosition = sql<[string], Row<Review>>(`${SELECT} WHERE r.position_id = ? ORDER BY r.at DESC, r.id`)
const entries = sql<[string], Row<ReviewEntry>>(
  `SELECT ${STATE} FROM review_entries e ${PEOPLE} WHERE e.review_id = ? ORDER BY e.seq`,
)

export function createReviews({ db, write, moment, once }: Writer): Reviews {
  function addEntry(entry: NewReviewEntry): Written {
    const row = { ...entry, closed: Number(entry.closed) }
    return once(storedEntry(db).get(entry.id), row, () => void insertEntry(db).run({ ...row, at: moment() }))
  }

  function get(id: string): Review {
    const row = one(db).get(id)
    if (row === undefined) throw new AppError('not found', 'There is no such review.')
    return truly(row)
  }

  return {
    open: ({ positionId, why, ...state }) =>
      write(() => {
        const row = { id: state.id, positionId, by: state.by, why }
        const done = once(stored(db).get(state.id), row, () => void insert(db).run({ ...row, at: moment() }))
        if (!done.repeated) addEntry({ ...state, reviewId: state.id })
        return done
      }),
    add: entry =>
      write(() => {
        if (get(entry.reviewId).closed && storedEntry(db).get(entry.id) === undefined)
          throw new AppError('conflict', 'This review is closed. Open a new one.')
        return addEntry(entry)
      }),
    get,
    entries: reviewId => entries(db).all(reviewId).map(truly),
    listOpen: () => open(db).all().map(truly),
    listByPosition: positionId => byPosition(db).all(positionId).map(truly),
  }
}

function truly<T>(row: Row<T>): T & { closed: boolean } {
  return { ...row, closed: row.closed === 1 } as T & { closed: boolean }
}
