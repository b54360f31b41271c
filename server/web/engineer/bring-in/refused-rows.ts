// Rows of a file that are refused: grouped by why, and taken out with the reason beside each.

import type { BadRow } from '../../../exchange/parse-rows.ts'
import { type Table as FileTable, textOf } from '../../../exchange/table.ts'
import { csvRecord } from '../../../exchange/write-csv.ts'
import { countWords } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { download } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { readUpload } from './read-upload.ts'

const examples = 4
const linesNamed = 8

interface Group {
  /** Without what differs from row to row. */
  why: string
  reasons: Set<string>
  lines: number[]
  quoted: Set<string>
}

/** One row for each reason, the commonest first: reasons that differ only in what they quote, or in figures, are one. */
export function refusedTable(bad: BadRow[]): Table {
  const groups = groupsOf(bad)
  return {
    caption: `${bad.length} refused, for ${countWords(groups.length, 'reason')}`,
    columns: columns('Why', 'Such as', numbers('Rows'), 'Lines'),
    rows: groups.map(({ why, reasons: [first = '', ...others], lines, quoted }) =>
      row(
        others.length === 0 ? first : why,
        others.length === 0 ? '' : firstOf([...quoted], examples),
        lines.length,
        firstOf(lines.map(String), linesNamed),
      ),
    ),
  }
}

function groupsOf(bad: BadRow[]): Group[] {
  const groups = new Map<string, Group>()
  for (const { line, reason } of bad) {
    const why = reason.replace(/“[^”]*”/g, '“…”').replace(/-?\d[\d.,:-]*/g, '…')
    const none = { why, reasons: new Set<string>(), lines: [], quoted: new Set<string>() }
    const group = groups.get(why) ?? none
    group.lines.push(line)
    group.reasons.add(reason)
    for (const [quoted] of reason.matchAll(/“[^”]*”/g)) group.quoted.add(quoted)
    groups.set(why, group)
  }
  return [...groups.values()].sort((a, b) => b.lines.length - a.lines.length)
}

function firstOf(words: string[], most: number): string {
  const more = words.length - most
  return words.slice(0, most).join(', ') + (more > 0 ? ` and ${more} more` : '')
}

/** The refused rows as they stand in the file, with the line and the reason before each, to be mended and sent again. */
export const show = (deps: Deps) => (req: Request) => {
  const { table, refused, fileName } = readUpload(deps, req)
  const name = `refused-${fileName.replace(/\.[^.]*$/, '')}.csv`
  return download(name, 'text/csv; charset=utf-8', refusedCsv(table, refused))
}

function refusedCsv({ header, rows }: FileTable, refused: BadRow[]): string {
  const byLine = new Map(rows.map(one => [one.line, one]))
  const lines = refused.map(({ line, reason }) => {
    const cells = byLine.get(line)?.cells ?? []
    return csvRecord([line, reason, ...header.map((_, n) => textOf(cells[n]))])
  })
  return `\ufeff${csvRecord(['Line of the file', 'Why it was refused', ...header])}${lines.join('')}`
}
