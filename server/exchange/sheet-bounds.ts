// How far a workbook's sheets reach. A reader makes a cell for every place between the first and the last, so that one
// stray cell in a far corner costs as much as a sheet filled up to it: this is counted before anything is read.

import { Refused } from './table.ts'

/** A sheet may have this many rows and columns: ECMA-376 part 1, 18.3.1.73 and 18.3.1.13 (value from memory). */
const standard = { rows: 1_048_576, columns: 16_384 }

/** Rows of all sheets, empty ones too; an honest book may have one sheet formatted down to its last row. */
const mostRows = standard.rows + 100_000

/** Places between the first and the last filled cell, of all sheets. */
const mostPlaces = 2_000_000

/** An XML attribute: its name, then its value in either kind of quotes. */
const attribute = /\s+([\w.:-]+)\s*=\s*("[^"<]*"|'[^'<]*')/y

/** The start of a row or a cell, whatever prefix its namespace has. */
const start = /<(?:[\w.-]+:)?(row|c)(?=[\s/>])/g

export class SheetBounds {
  #rows = 0
  #places = 0

  /** Adds one sheet to what the workbook takes. Throws Refused when that is too much or a reference makes no sense. */
  add(xml: string): void {
    const extent = { row: 0, filledRow: 0, filledColumn: 0, farthest: '' }
    for (const found of xml.matchAll(start)) {
      const { reference, empty } = tagAt(xml, found.index + found[0].length)
      if (found[1] === 'row') extent.row = Math.max(extent.row, rowOf(reference, extent.row + 1))
      else reach(extent, reference, empty)
    }
    this.#rows += extent.row
    this.#places += extent.filledRow * extent.filledColumn
    if (this.#rows > mostRows)
      throw new Refused(`The sheets of the workbook have more than ${mostRows} rows.`)
    if (this.#places > mostPlaces)
      throw new Refused(
        `Cell ${extent.farthest} lies too far from the first. Delete what is not part of the table, and save it again.`,
      )
  }
}

interface Extent {
  /** The last row, filled or not. */
  row: number
  filledRow: number
  filledColumn: number
  /** The reference of the last cell in the last column. */
  farthest: string
}

function reach(extent: Extent, reference: string | null, empty: boolean): void {
  const [, letters = '', digits = ''] = /^([A-Z]{1,3})([1-9]\d{0,6})$/.exec(reference ?? '') ?? []
  const [column, row] = [columnOf(letters), Number(digits)]
  if (letters === '' || column > standard.columns || row > standard.rows)
    throw new Refused(`The workbook has a cell “${(reference ?? '').slice(0, 20)}”, which no sheet has.`)
  extent.row = Math.max(extent.row, row)
  if (empty) return
  if (column >= extent.filledColumn || row > extent.filledRow) extent.farthest = reference ?? ''
  extent.filledRow = Math.max(extent.filledRow, row)
  extent.filledColumn = Math.max(extent.filledColumn, column)
}

/** A row without a number stands behind the one before. */
function rowOf(reference: string | null, next: number): number {
  if (reference === null) return next
  if (/^[1-9]\d{0,6}$/.test(reference) && Number(reference) <= standard.rows) return Number(reference)
  throw new Refused(`The workbook has a row “${reference.slice(0, 20)}”, which no sheet has.`)
}

/** 1 for A, 27 for AA. */
function columnOf(letters: string): number {
  let column = 0
  for (const letter of letters) column = column * 26 + letter.charCodeAt(0) - 64
  return column
}

/** Reads a tag from behind its name: its reference, and whether it ends without anything in it. Throws Refused. */
function tagAt(xml: string, from: number): { reference: string | null; empty: boolean } {
  let reference: string | null = null
  attribute.lastIndex = from
  let end = from
  for (let found = attribute.exec(xml); found; found = attribute.exec(xml)) {
    end = attribute.lastIndex
    if (/^(?:[\w.-]+:)?r$/.test(found[1] ?? '')) reference = (found[2] ?? '').slice(1, -1)
  }
  const [, slash] = /^\s*(\/?)>/.exec(xml.slice(end, end + 100)) ?? [null, null]
  if (slash === null)
    throw new Refused('The workbook has a cell that is not written as a workbook’s cells are.')
  return { reference, empty: slash === '/' }
}

/** Characters of one tag; a reader may take the square of it. */
const longestTag = 65_536

/** Throws Refused for a file of a workbook with more tags, or a longer one, than any honest one has. */
export function boundTags(name: string, content: Buffer, most: number): void {
  let [count, end] = [0, 0]
  for (let at = content.indexOf(0x3c); at >= 0; at = content.indexOf(0x3c, at + 1)) {
    count += 1
    if (at >= end) end = content.indexOf(0x3e, at)
    if (count > most || end < 0 || end - at > longestTag)
      throw new Refused(`The workbook holds far too much in ${name.slice(0, 80)}, or is damaged there.`)
  }
}
