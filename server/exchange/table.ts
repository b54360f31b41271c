// A table as it came out of a file, before anything in it is taken for anything.

/**
 * A workbook knows its numbers and dates; in CSV everything is
 * text. `local` is "2026-03-05" or "2026-03-05T14:30".
 */
export type Cell = string | number | { local: string }

export interface Row {
  /** Of the file, from 1: where the row starts. */
  line: number
  cells: Cell[]
}

export interface Table {
  kind: 'csv' | 'workbook'
  /** How a CSV was read; null for a workbook. */
  encoding: Encoding | null
  delimiter: Delimiter | null
  /** Names of a workbook's sheets, and the one that was read. */
  sheets: string[]
  sheet: string | null
  /** The names of the columns, and the line they stand in. */
  header: string[]
  headerLine: number
  rows: Row[]
  /** Rows above the names of the columns and below the last row, which are no part of the table. */
  skipped: Row[]
  /** Cells of the workbook that hold formulas: what they last came to was taken. */
  formulas: number
}

export const encodings = ['utf-8', 'utf-16le', 'utf-16be', 'windows-1252'] as const
export type Encoding = (typeof encodings)[number]
export const delimiters = [',', ';', '\t', '|'] as const
export type Delimiter = (typeof delimiters)[number]

/** What the reader may be told; what is missing it works out. */
export interface ReadOptions {
  encoding?: Encoding | undefined
  delimiter?: Delimiter | undefined
  sheet?: string | undefined
  /** Of the row that names the columns. */
  headerLine?: number | undefined
  /** Leave out no total or note at the end. */
  wholeEnd?: boolean | undefined
}

/** Why a file is not read, in words for the person who sent it. */
export class Refused extends Error {}

export const limits = {
  bytes: 5_000_000,
  rows: 20_000,
  columns: 100,
  cells: 600_000,
  cellLength: 10_000,
  /** Characters of all cells together; a workbook may refer to one long text from many. */
  characters: 10_000_000,
  /** A workbook's files, unpacked. */
  unpackedBytes: 40_000_000,
  files: 500,
  /** XML tags in a workbook's sheets (six for a cell with its own text), shared texts (four for each) and other files. */
  tags: { sheets: 4_000_000, texts: 2_400_000, others: 200_000 },
  seconds: 20,
}

/** A cell as text: a number with a point, a date as ISO 8601. */
export function textOf(cell: Cell | undefined): string {
  if (cell === undefined) return ''
  if (typeof cell === 'string') return cell
  return typeof cell === 'number' ? String(cell) : cell.local
}
