// What one row of a spreadsheet asks for.

export type RowState = 'new' | 'same' | 'changed' | 'bad'

/** What becomes of a row; `words`: why it is bad, or what is changed. */
export interface Loaded {
  state: RowState
  words: string
}

export interface Loading {
  id: string
  by: string
  editionId: string
  fileName: string
  sha256: string
  columns: object
  /** Rows that could not even be read, for the count. */
  leftOut: number
}

/** What a row would do, and how it is done; null where there is nothing to write. */
export interface Plan extends Loaded {
  write: (() => void) | null
  /** Of the row that is written, where it may be written before it is in force. */
  key?: string
}

/** Looks at one row after another of a file, and remembers what those before it asked for. Writes nothing. */
export type Planner<R> = (row: R, loading: Loading) => Plan

export const added = (write: () => void): Plan => ({ state: 'new', words: '', write })
export const same: Plan = { state: 'same', words: '', write: null }
export const bad = (words: string): Plan => ({ state: 'bad', words, write: null })
export const changed = (changes: string[], write: () => void): Plan => ({
  state: 'changed',
  words: changes.join('; '),
  write,
})
