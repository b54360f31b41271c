// Limits put into the Markdown of an equipment file: the cells of their rows change, and nothing else does.

import { readCell } from '../read/values.ts'

/** The cells of a limit's row that its owner fills in. */
export interface LimitCells {
  value: string
  unit: string
  source: string
}

/** The text with the rows at these lines (from 1) changed; columns stay aligned where the new words fit. */
export function setLimits(text: string, changes: ReadonlyMap<number, LimitCells>): string {
  const lines = text.split('\n')
  for (const [line, { value, unit, source }] of changes) {
    const row = lines[line - 1]
    if (row !== undefined) lines[line - 1] = withCells(row, [value || '–', unit || '–', source])
  }
  return lines.join('\n')
}

/** `| name | value | unit | source | … |` with the three cells behind the name changed. */
function withCells(row: string, cells: readonly string[]): string {
  const parts = row.split(/(?<!\\)\|/)
  const first = row.trimStart().startsWith('|') ? 2 : 1
  return parts.map((part, n) => (n < first ? part : inCell(part, cells[n - first]))).join('|')
}

/** Only what differs is written, in a cell as wide as it was if that is wide enough. */
function inCell(part: string, words: string | undefined): string {
  if (words === undefined) return part
  const escaped = words.replaceAll('|', '\\|')
  return part.trim() === escaped ? part : ` ${escaped.padEnd(part.length - 2)} `
}

/** Where a limit comes from, who gave it and from which day ("2026-03-05") it holds: one cell of the table. */
export interface LimitSource {
  source: string
  who: string
  from: string
}

export function sourceCell({ source, who, from }: LimitSource): string {
  return [source, who && `given by ${who}`, from && `from ${from}`].filter(Boolean).join('; ')
}

/** What a source cell says; words of another shape are the source alone. */
export function readSource(cell: string): LimitSource {
  const said = readCell(cell) ?? ''
  const [, source = said, who = '', from = ''] =
    /^(.*?)(?:; given by ([^;]+))?(?:; from (\d{4}-\d\d-\d\d))?$/s.exec(said) ?? []
  return { source, who, from }
}
