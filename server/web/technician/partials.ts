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

/** The data-table partial. */
export interface Table {
  caption: string
  /** The caption is for the ear only. */
  captionHidden?: boolean
  columns: { text: string; number?: boolean }[]
  rows: TableRow[]
  /** What is said where there is no row. */
  empty?: string
}

export interface TableRow {
  cells: TableCell[]
  current?: boolean
}

export interface TableCell {
  text?: string
  href?: string
  mark?: Mark | null
  /** Our own SVG, before the text. */
  html?: string
  struck?: boolean
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

/** Columns of words by their heads. */
export function columns(...heads: string[]): Table['columns'] {
  return heads.map(text => ({ text }))
}
