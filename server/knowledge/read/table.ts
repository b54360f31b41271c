import type { Table, TableRow } from './document.ts'
import { linksIn } from './link.ts'

/**
 * A table from its Markdown lines, every cell kept: a row with too many or too few stays so, and is reported.
 * `raw` begins at 1-based line `line`; its second line is the rule under the header.
 */
export function readTable(raw: string, line: number): Table {
  const lines = raw.replace(/\n+$/, '').split('\n')
  return {
    header: cellsOf(lines[0] ?? ''),
    rows: lines.slice(2).map((text, index) => readRow(text, line + 2 + index)),
    line,
  }
}

function readRow(text: string, line: number): TableRow {
  const cells = cellsOf(text)
  return { cells, next: linksIn(cells.at(-1) ?? ''), line }
}

/** Splits at each `|` that has no backslash before it. */
function cellsOf(text: string): string[] {
  const trimmed = text.trim()
  const inner = trimmed.slice(trimmed.startsWith('|') ? 1 : 0, /(?<!\\)\|$/.test(trimmed) ? -1 : undefined)
  if (!inner.includes('\\')) return inner.split('|').map(cell => cell.trim())
  const cells: string[] = []
  let cell = ''
  for (let index = 0; index < inner.length; index++) {
    const letter = inner[index] ?? ''
    if (letter === '\\' && inner[index + 1] === '|') {
      cell += '|'
      index++
    } else if (letter === '|') {
      cells.push(cell.trim())
      cell = ''
    } else cell += letter
  }
  return [...cells, cell.trim()]
}
