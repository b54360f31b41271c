// Putting one row of a spreadsheet on record.

export type RowState = 'new' | 'same' | 'changed' | 'bad'

/** What became of a row; `words`: why it is bad, or what is changed. */
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

/** Puts one row on record, or says why not. */
export type Load<R> = (row: R, loading: Loading) => Loaded

export const added: Loaded = { state: 'new', words: '' }
export const same: Loaded = { state: 'same', words: '' }
export const changed = (changes: string[]): Loaded => ({ state: 'changed', words: changes.join('; ') })
export const bad = (words: string): Loaded => ({ state: 'bad', words })
