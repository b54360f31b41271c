/** Milliseconds since 1970; the end is not included. */
export interface Span {
  fromMs: number
  toMs: number
}

/** Stored times are UTC text whose order is the order of time, so a window is two texts. */
export function bounds({ fromMs, toMs }: Span): { from: string; to: string } {
  return { from: new Date(fromMs).toISOString(), to: new Date(toMs).toISOString() }
}

/**
 * Between the columns and the rows of what the database joins into one text. A row handed over by itself costs ten
 * times as much; no stored text holds these two.
 */
export const column = '\u001f'
export const row = '\u001e'

const stretchMs = 31 * 86_400_000

/** Rows of a window as texts, a month at a time, each column a text ('' for nothing). */
export function* joinedRows(
  join: (bounds: { from: string; to: string }) => string | null,
  { fromMs, toMs }: Span,
): Generator<string[]> {
  for (let at = fromMs; at < toMs; at += stretchMs) {
    const joined = join(bounds({ fromMs: at, toMs: Math.min(toMs, at + stretchMs) }))
    if (joined !== null) for (const text of joined.split(row)) yield text.split(column)
  }
}
