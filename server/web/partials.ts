// What the shared partials take; views/partials says of each what it draws.

/** The mark partial: the kind gives the shape, the word is always beside it. */
export interface Mark {
  kind: string
  word: string
}

/** One option of the choice-tiles partial or of a field that is a select. */
export interface Choice {
  value: string
  label: string
  hint?: string | null
  mark?: string
}

/** The data-table partial. On a phone each row folds into a card, the column's name before each value. */
export interface Table {
  caption: string
  /** The caption is read out but not shown, as a heading above the table says it already. */
  captionHidden?: boolean
  columns: Column[]
  rows: TableRow[]
  /** Stands in place of the rows when there are none. */
  empty?: string
  /** Where to go to fill it, after those words. */
  emptyWay?: { href: string; text: string } | null
}

export interface Column {
  text: string
  /** Set to the right, under one another by their last digit. */
  number?: boolean
}

export interface TableRow {
  cells: TableCell[]
  /** Marked as the one that holds now. */
  current?: boolean
}

export interface TableCell {
  text?: string | number | null
  href?: string
  mark?: Mark | null
  /** Our own SVG, before the text. */
  html?: string
  /** The button that begins a draft: of which file, from where. */
  draft?: { path: string; from: string }
  struck?: boolean
  /** Smaller words after the text. */
  note?: string | null
}

/** A row of the summary-list partial; a list of values gives a line each. */
export interface SummaryRow {
  key: string
  value?: string | readonly string[]
  /** In place of the value: where to read more, or our own SVG or rendered Markdown. */
  link?: { href: string; text: string }
  html?: string
  mark?: Mark
}

/** An entry of the timeline partial. */
export interface TimelineEntry extends Mark {
  at?: string
  text: string
  href?: string | null
  detail?: string | null
  by?: string
  struck?: boolean
  why?: string
}

/** A word alone heads a column of words. */
export function columns(...heads: (string | Column)[]): Column[] {
  return heads.map(head => (typeof head === 'string' ? { text: head } : head))
}

export function numbers(text: string): Column {
  return { text, number: true }
}

/** A word or a number alone is a cell that holds no more. */
export function row(...cells: (string | number | null | TableCell)[]): TableRow {
  return { cells: cells.map(cell => (typeof cell === 'object' && cell !== null ? cell : { text: cell })) }
}
