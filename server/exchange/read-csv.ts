import { CsvError, parse } from 'csv-parse/sync'
import { type Delimiter, delimiters, limits, Refused, type Row } from './table.ts'

/**
 * Records of a CSV text with the line each starts on. Quoted cells may hold the delimiter, quotes and line
 * breaks; a record may be shorter or longer than the others. Throws Refused when a quote is never closed.
 */
export function readCsv(text: string, wanted?: Delimiter): { delimiter: Delimiter; rows: Row[] } {
  const delimiter = wanted ?? sniffDelimiter(text)
  boundLines(text, delimiter)
  return { delimiter, rows: records(text, delimiter, limits.rows + 2) }
}

/** Ten times the columns: delimiters may stand in quoted cells, too. */
const mostInLine = 10 * limits.columns

/** Before anything is cut: a line with a million cells takes long to read only to be refused. Throws Refused. */
function boundLines(text: string, delimiter: Delimiter): void {
  const cut = delimiter.charCodeAt(0)
  let [line, inLine] = [1, 0]
  for (let at = 0; at < text.length; at += 1) {
    const letter = text.charCodeAt(at)
    if (letter === cut && ++inLine > mostInLine)
      throw new Refused(`Line ${line} has more than ${mostInLine} columns; ${limits.columns} at most.`)
    if (letter !== 10 && letter !== 13) continue
    inLine = 0
    if (letter === 10 || text.charCodeAt(at + 1) !== 10) line += 1
  }
}

/** The delimiter that cuts the first lines into the most columns of the same number. */
function sniffDelimiter(text: string): Delimiter {
  const said = /^sep=(.)\r?\n/i.exec(text)?.[1]
  const named = delimiters.find(one => one === said)
  if (named) return named
  const start = text.slice(0, 20_000)
  const scored = delimiters.map(delimiter => ({ delimiter, score: evenness(start, delimiter) }))
  return scored.reduce((best, one) => (one.score > best.score ? one : best)).delimiter
}

function records(text: string, delimiter: Delimiter, most: number): Row[] {
  // Some spreadsheets put their delimiter in a line of its own.
  const skipped = /^sep=.\r?\n/i.exec(text)?.[0] ?? ''
  try {
    const parsed = parse(text.slice(skipped.length), {
      delimiter,
      raw: true,
      to: most,
      relax_column_count: true,
      relax_quotes: true,
      bom: true,
      max_record_size: limits.columns * limits.cellLength,
      skip_empty_lines: false,
    }) as unknown as { record: string[]; raw: string }[]
    let line = skipped === '' ? 1 : 2
    return parsed.map(({ record, raw }) => {
      const row = { line, cells: record }
      line += breaks(raw)
      return row
    })
  } catch (error) {
    if (!(error instanceof CsvError)) throw error
    if (error.code === 'CSV_MAX_RECORD_SIZE') throw new Refused('A row of the file is far too long.')
    throw new Refused(
      'A quote in the file is opened and never closed. Save it again from the program it came from.',
    )
  }
}

function breaks(raw: string): number {
  return raw.match(/\r\n|\r|\n/g)?.length ?? 0
}

/** Columns of the commonest width, times the share of records that have it; 0 where nothing is cut. */
function evenness(text: string, delimiter: Delimiter): number {
  let rows: Row[]
  try {
    rows = records(text.slice(0, text.lastIndexOf('\n') + 1) || text, delimiter, 30)
  } catch {
    return 0
  }
  const widths = new Map<number, number>()
  for (const { cells } of rows) widths.set(cells.length, (widths.get(cells.length) ?? 0) + 1)
  const [width, count] = [...widths].reduce((best, one) => (one[1] > best[1] ? one : best), [1, 0])
  return width < 2 ? 0 : width * (count / rows.length) ** 2
}
