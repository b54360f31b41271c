import readExcelFile from 'read-excel-file/node'
import { decodeText } from './decode-text.ts'
import { withHeader } from './find-header.ts'
import { readCsv } from './read-csv.ts'
import { type Cell, limits, type ReadOptions, Refused, type Row, type Table } from './table.ts'
import { guardWorkbook } from './zip-guard.ts'

/** A CSV file or a workbook, by what it is and not by its name. Throws Refused. */
export async function readTable(bytes: Uint8Array, options: ReadOptions = {}): Promise<Table> {
  if (bytes.length === 0) throw new Refused('The file is empty.')
  if (bytes.length > limits.bytes) throw new Refused(`The file is larger than ${limits.bytes / 1e6} MB.`)
  if (bytes[0] === 0xd0 && bytes[1] === 0xcf)
    throw new Refused('This is an old or a locked workbook. Save it as .xlsx without a password, or as CSV.')
  if (bytes[0] === 0x50 && bytes[1] === 0x4b) {
    const { sheets, sheet, rows, formulas } = await readWorkbook(bytes, options.sheet)
    const none = { encoding: null, delimiter: null }
    return { kind: 'workbook', ...none, sheets, sheet, formulas, ...withHeader(rows, options) }
  }
  const { text, encoding } = decodeText(bytes, options.encoding)
  const { delimiter, rows } = readCsv(text, options.delimiter)
  const none = { sheets: [], sheet: null, formulas: 0 }
  return { kind: 'csv', encoding, delimiter, ...none, ...withHeader(rows, options) }
}

/**
 * The rows of one sheet; the first sheet unless named. Throws
 * Refused for what the guard refuses or cannot be read.
 */
async function readWorkbook(
  bytes: Uint8Array,
  wanted?: string,
): Promise<{ sheets: string[]; sheet: string; rows: Row[]; formulas: number }> {
  const guarded = guardWorkbook(bytes)
  const all = await sheetsOf(guarded.bytes)
  const chosen = all.find(one => one.sheet === wanted) ?? all.find(one => one.data.length > 0) ?? all[0]
  if (!chosen) throw new Refused('The workbook has no sheet.')
  const rows = chosen.data.map((cells, n) => ({ line: n + 1, cells: cells.map(cellOf) }))
  return { sheets: all.map(one => one.sheet), sheet: chosen.sheet, rows, formulas: guarded.formulas }
}

async function sheetsOf(bytes: Buffer): Promise<{ sheet: string; data: unknown[][] }[]> {
  try {
    return await readExcelFile(bytes, { trim: false })
  } catch {
    throw new Refused('The workbook could not be read. Save it again, or save the sheet as CSV.')
  }
}

function cellOf(value: unknown): Cell {
  if (value === null || value === undefined) return ''
  if (typeof value === 'number') return Number.isFinite(value) ? value : ''
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  return value instanceof Date ? dateOf(value) : String(value)
}

/** A sheet's dates have no zone: the reader gives the clock's own figures as if they were UTC. */
function dateOf(date: Date): Cell {
  if (Number.isNaN(date.getTime())) return ''
  // Days are kept as fractions, so a whole minute may come a fraction of a second short.
  const text = new Date(Math.round(date.getTime() / 1000) * 1000).toISOString()
  return { local: text.slice(11, 19) === '00:00:00' ? text.slice(0, 10) : text.slice(0, 16) }
}
