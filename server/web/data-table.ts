/** What the partial data-table draws. On a phone each row folds into a card, the column's name before each value. */
export interface Table {
  caption: string
  /** The caption is read out but not shown, as a heading above the table says it already. */
  captionHidden?: boolean
  columns: Column[]
  rows: TableRow[]
  /** Stands in place of the rows when there are none. */
  empty?: string
}

export interface Column {
  text: string
  /** Set to the right, under one another by their last digit. */
  number?: boolean
}

export interface TableRow {
  cells: Cell[]
  /** Marked as the one that holds now. */
  current?: boolean
}

export interface Cell {
  text?: string | number | null
  href?: string
  mark?: Mark | null
  struck?: boolean
  /** Smaller words after the text. */
  note?: string | null
  /** A partial drawn in the cell, by its address among the views, and what it needs. */
  part?: { view: string } & Record<string, unknown>
}

/** A shape and always its word. */
export interface Mark {
  kind: string
  word: string
}

/** A word alone heads a column of words. */
export function columns(...heads: (string | Column)[]): Column[] {
  return heads.map(head => (typeof head === 'string' ? { text: head } : head))
}

export function numbers(text: string): Column {
  return { text, number: true }
}

/** A word or a number alone is a cell that holds no more. */
export function row(...cells: (string | number | null | Cell)[]): TableRow {
  return { cells: cells.map(cell => (typeof cell === 'object' && cell !== null ? cell : { text: cell })) }
}
