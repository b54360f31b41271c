import type { Problem } from '../problem.ts'
import type { Document } from '../read/document.ts'

/**
 * What a check says of a problem; the rest comes from the
 * place. `severity` is an error unless it says otherwise.
 */
export interface Said {
  code: string
  severity?: 'error' | 'warning'
  found: string
  expected: string
  mend: string
  hint?: string | null
  related?: Problem['related']
}

const LONGEST_QUOTE = 200

/** A problem at a line of a document, with that line quoted. */
export function problemAt(doc: Pick<Document, 'path' | 'lines'>, line: number, said: Said): Problem {
  const at = Math.min(Math.max(line, 1), Math.max(doc.lines.length, 1))
  return {
    code: said.code,
    severity: said.severity ?? 'error',
    source: { path: doc.path, line: at },
    quote: (doc.lines[at - 1] ?? '').trim().slice(0, LONGEST_QUOTE),
    found: said.found,
    expected: said.expected,
    mend: said.mend,
    hint: said.hint ?? null,
    related: said.related ?? [],
  }
}

/** A list in words: `a, b or c`. Long lists are cut. */
export function oneOf(names: Iterable<string>): string {
  const all = [...names]
  const shown = all.length > 8 ? [...all.slice(0, 8), `${all.length - 8} more`] : all
  const last = shown.pop()
  if (last === undefined) return 'none'
  return shown.length === 0 ? last : `${shown.join(', ')} or ${last}`
}

/** All names in words: `a, b and c`, each once; `none` when there are none. */
export function allOf(names: Iterable<string>): string {
  return oneOf(new Set(names)).replace(/ or (?!.* or )/, ' and ')
}

/** Author's words inside a sentence, cut to a bearable length. */
export function quoted(text: string): string {
  const plain = text.replace(/\s+/g, ' ').trim()
  return `“${plain.length > 60 ? `${plain.slice(0, 60)}…` : plain}”`
}
