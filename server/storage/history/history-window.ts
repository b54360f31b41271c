import { isoOf } from '../../times.ts'
import { type Connection, type Query, scalar } from '../engine/sql.ts'

/** Milliseconds since 1970; the end is not included. */
export interface Span {
  fromMs: number
  toMs: number
}

/** Stored times are UTC text whose order is the order of time, so a window is two texts. */
export function bounds({ fromMs, toMs }: Span): { from: string; to: string } {
  return { from: isoOf(fromMs), to: isoOf(toMs) }
}

/**
 * Between the columns and the rows of what the database joins into one text. A row handed over by itself costs ten
 * times as much; no stored text holds these two.
 */
export const columnEnd = '\u001f'
const rowEnd = '\u001e'

/** A statement that gives all rows as one text, null without rows; `columns` are SQL expressions that are never null. */
export function joinedText<P extends unknown[] | object>(
  columns: string[],
  from: string,
): Query<P, string | null> {
  return scalar(`SELECT group_concat(${columns.join(` || '${columnEnd}' || `)}, '${rowEnd}') FROM ${from}`)
}

export function rowsIn(joined: string | null | undefined): string[] {
  return joined ? joined.split(rowEnd) : []
}

type Bounds = ReturnType<typeof bounds>

/** As `joinedText`, for a table with @from and @to in its condition; null is joined as ''. */
export function joinedWindow(columns: string[], from: string): Query<Bounds, string | null> {
  const texts = columns.map(name => `coalesce(${name}, '')`)
  return joinedText<Bounds>(texts, `(SELECT ${columns} FROM ${from})`)
}

const stretchMs = 31 * 86_400_000

/** Rows of a window as texts, a month at a time, each column a text ('' for null). */
export function* rowsOfWindow(
  db: Connection,
  query: Query<Bounds, string | null>,
  { fromMs, toMs }: Span,
): Generator<string[]> {
  for (let at = fromMs; at < toMs; at += stretchMs) {
    const joined = query(db).get(bounds({ fromMs: at, toMs: Math.min(toMs, at + stretchMs) }))
    for (const text of rowsIn(joined)) yield text.split(columnEnd)
  }
}
