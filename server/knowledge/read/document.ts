// A knowledge file in its form: sections with their keys, cautions, words and tables, each with its line.

import type { Link } from './link.ts'

/** Text with the 1-based line it begins on. */
export interface Words {
  text: string
  line: number
}

/** `- Key: value` */
export interface KeyLine {
  key: string
  value: string
  line: number
}

/** A quoted block; `marked` when it begins with **Caution** or **Warning**. */
export interface Quote extends Words {
  marked: boolean
}

export interface TableRow {
  cells: string[]
  /** Links in the last cell. */
  next: Link[]
  line: number
}

export interface Table {
  header: string[]
  rows: TableRow[]
  line: number
}

/** A heading and what stands under it, down to the next heading of any level. */
export interface Section {
  /** 1 to 6; 0 for what stands before the first heading. */
  level: number
  title: string
  slug: string
  line: number
  keys: KeyLine[]
  quotes: Quote[]
  /** Paragraphs, lists and code in Markdown, without the keys, cautions and tables. */
  prose: Words[]
  /** Bullets that are no keys, one by one; they are part of `prose` too. */
  items: Words[]
  tables: Table[]
}

export interface Document {
  path: string
  /** File name without `.md`. */
  slug: string
  lines: string[]
  sections: Section[]
}

/** The value of a key, or null; of several, the first. */
export function keyOf(section: Section, key: string): KeyLine | null {
  return section.keys.find(line => line.key === key) ?? null
}

/** All prose of a section as one Markdown text. */
export function proseOf(section: Section): string {
  return section.prose.map(words => words.text).join('\n\n')
}
