// Which rows of a sheet are its table: a title may stand above the names of the columns, totals and notes below the last.

import { limits, type ReadOptions, Refused, type Row, type Table, textOf } from './table.ts'

interface FoundTable {
  header: Row
  rows: Row[]
  /** Rows that are no part of the table, in the order of the file. */
  skipped: Row[]
}

/** Rows of a table's head that are looked at, and rows of its end. */
const headRows = 20
const endRows = 5

/**
 * The header is the first row that is filled about as far as the rows of the table are. At the end, a row that begins with
 * a total or holds a note alone is left out. `headerLine`: the line that holds the names of the columns, where somebody
 * has said so; `wholeEnd`: leave nothing out at the end. `filled` has no empty rows; null when it has none at all.
 */
function findTable(
  filled: Row[],
  { headerLine, wholeEnd = false }: { headerLine?: number | undefined; wholeEnd?: boolean | undefined } = {},
): FoundTable | null {
  const usual = usualWidth(filled)
  const said = filled.findIndex(({ line }) => line === headerLine)
  const guessed = filled
    .slice(0, Math.min(headRows, filled.length - 1))
    .findIndex(row => widthOf(row) >= Math.max(1, 0.6 * usual))
  const at = said >= 0 ? said : Math.max(0, guessed)
  const header = filled[at]
  if (!header) return null
  let end = filled.length
  const floor = Math.max(at + 2, filled.length - endRows)
  if (!wholeEnd) while (end > floor && isBelowTable(filled[end - 1], usual)) end -= 1
  const skipped = [...filled.slice(0, at), ...filled.slice(end)]
  return { header, rows: filled.slice(at + 1, end), skipped }
}

/** Cells filled in the fuller rows: the upper quartile, so that titles and notes do not count. */
function usualWidth(filled: Row[]): number {
  const widths = filled
    .slice(0, 200)
    .map(widthOf)
    .sort((a, b) => a - b)
  return widths[Math.floor(0.75 * widths.length)] ?? 0
}

function widthOf({ cells }: Row): number {
  return cells.filter(cell => textOf(cell).trim() !== '').length
}

const total = /^(grand[ -]?|sub[ -]?)?totals?\b[\s:=]*[\d.,\s]*$/i

function isBelowTable(row: Row | undefined, usual: number): boolean {
  if (!row) return false
  const first = row.cells.map(cell => textOf(cell).trim()).find(text => text !== '') ?? ''
  return total.test(first) || (usual >= 3 && widthOf(row) === 1)
}

/** The rows with their header taken off; empty rows are left out. Throws Refused beyond the limits. */
export function withHeader(
  found: Row[],
  options: ReadOptions = {},
): Pick<Table, 'header' | 'headerLine' | 'rows' | 'skipped'> {
  const filled = found.filter(row => row.cells.some(cell => textOf(cell).trim() !== ''))
  const table = findTable(filled, options)
  if (!table) throw new Refused('The file holds nothing.')
  const { header, rows, skipped } = table
  if (rows.length === 0) throw new Refused('The file holds a first row and nothing below it.')
  if (rows.length > limits.rows)
    throw new Refused(`The file has ${rows.length} rows; ${limits.rows} at most. Split it.`)
  let [cells, characters] = [0, 0]
  for (const { line, cells: row } of filled) {
    cells += row.length
    characters += row.reduce<number>((sum, cell) => sum + (typeof cell === 'string' ? cell.length : 10), 0)
    if (characters > limits.characters)
      throw new Refused(
        `The cells hold more than ${limits.characters / 1e6} million characters. Split the file.`,
      )
    if (row.length > limits.columns)
      throw new Refused(`Line ${line} has ${row.length} columns; ${limits.columns} at most.`)
    if (row.some(cell => typeof cell === 'string' && cell.length > limits.cellLength))
      throw new Refused(`A cell in line ${line} is longer than ${limits.cellLength} characters.`)
  }
  if (cells > limits.cells) throw new Refused(`The file has ${cells} cells; ${limits.cells} at most.`)
  const names = header.cells.map(cell => textOf(cell).replace(/\s+/g, ' ').trim())
  return { header: names, headerLine: header.line, rows, skipped }
}
