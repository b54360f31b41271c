import { decodeText } from './decode-text.ts'
import { readCsv } from './read-csv.ts'
import { readWorkbook } from './read-workbook.ts'
import { limits, type ReadOptions, Refused, type Table, withHeader } from './table.ts'

/** A CSV file or a workbook, by what it is and not by its name. Throws Refused. */
export async function readTable(bytes: Uint8Array, options: ReadOptions = {}): Promise<Table> {
  if (bytes.length === 0) throw new Refused('The file is empty.')
  if (bytes.length > limits.bytes) throw new Refused(`The file is larger than ${limits.bytes / 1e6} MB.`)
  if (bytes[0] === 0xd0 && bytes[1] === 0xcf)
    throw new Refused('This is an old or a locked workbook. Save it as .xlsx without a password, or as CSV.')
  if (bytes[0] === 0x50 && bytes[1] === 0x4b) {
    const { sheets, sheet, rows } = await readWorkbook(bytes, options.sheet)
    return { kind: 'workbook', encoding: null, delimiter: null, sheets, sheet, ...withHeader(rows) }
  }
  const { text, encoding } = decodeText(bytes, options.encoding)
  const { delimiter, rows } = readCsv(text, options.delimiter)
  return { kind: 'csv', encoding, delimiter, sheets: [], sheet: null, ...withHeader(rows) }
}
