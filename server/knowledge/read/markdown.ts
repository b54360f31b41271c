import { Lexer, Marked, type Token, type Tokens } from 'marked'
import type { Document, Section, Table, TableRow } from './document.ts'
import { linksIn } from './link.ts'

/**
 * A Markdown text in its form. Only blocks are parsed: what lies inside a line
 * is parsed by the readers that need it. Lines are counted by the newlines in
 * each block as written. The text must have passed the file rules.
 */
export function readDocument(path: string, text: string): Document {
  const plain = plainText(text)
  const sections = [sectionAt(0, '', 1)]
  let line = 1
  for (const token of new Lexer(withKeyLists).blockTokens(plain, [])) {
    place(token, line, sections)
    line += newlines(token.raw)
  }
  const [preface] = sections
  const filled = preface && isEmpty(preface) ? sections.slice(1) : sections
  return { path, slug: fileSlug(path), lines: plain.split('\n'), sections: filled }
}

/**
 * A list of nothing but `- Key: value` lines, which is read
 * line by line: far cheaper than a list that may nest.
 */
const KEY_LIST = /^(?:- [A-Z][A-Za-z]*(?: [A-Za-z]+){0,3}:(?: [^\n]*)?\n)+(?=\n(?![ \t\n*+-]))/

const withKeyLists = new Marked({
  gfm: true,
  extensions: [
    {
      name: 'keys',
      level: 'block',
      tokenizer: src => {
        const raw = src.startsWith('- ') ? KEY_LIST.exec(src)?.[0] : undefined
        return raw === undefined ? undefined : { type: 'keys', raw }
      },
    },
  ],
}).defaults

/** Without the byte-order mark, and with one kind of line end. */
export function plainText(text: string): string {
  return text.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n')
}

function fileSlug(path: string): string {
  return (path.split('/').pop() ?? '').replace(/\.md$/, '')
}

function place(token: Token, line: number, sections: Section[]) {
  const section = sections.at(-1)
  if (!section) return
  const start = line + leadingNewlines(token.raw)
  switch (token.type) {
    case 'heading':
      sections.push(sectionAt(token.depth, token.text, start))
      return
    case 'blockquote':
      section.quotes.push(quoteAt(token.text, start))
      return
    case 'table':
      section.tables.push(readTable(token.raw.replace(/^\n+/, ''), start))
      return
    case 'keys':
      placeKeys(token.raw, start, section)
      return
    case 'list':
      placeList(token as Tokens.List, start, section)
      return
    case 'space':
    case 'hr':
    case 'def':
      return
    default:
      section.prose.push({ text: token.raw.trim(), line: start })
  }
}

function sectionAt(level: number, heading: string, line: number): Section {
  const title = heading.replace(/[*_`]/g, '').trim()
  return {
    level,
    title,
    slug: slugOf(title),
    line,
    keys: [],
    quotes: [],
    prose: [],
    items: [],
    tables: [],
  }
}

function quoteAt(text: string, line: number) {
  return { text: text.trim(), line, marked: /^\s*\*\*(Caution|Warning)\b/.test(text) }
}

const KEY = /^\s*[-*+]\s+([A-Z][A-Za-z]*(?: [A-Za-z]+){0,3}):(?:\s+([^\n]*(?:\n[^\n]*)*))?$/

function placeKeys(raw: string, line: number, section: Section) {
  for (const [index, text] of raw.trimEnd().split('\n').entries()) {
    const colon = text.indexOf(':')
    const value = text
      .slice(colon + 1)
      .replace(/\s+/g, ' ')
      .trim()
    section.keys.push({ key: text.slice(2, colon), value, line: line + index })
  }
}

function placeList(list: Tokens.List, line: number, section: Section) {
  let at = line
  let words: string[] = []
  let wordsLine = line
  const flush = () => {
    if (words.length > 0) section.prose.push({ text: words.join('\n'), line: wordsLine })
    words = []
  }
  for (const item of list.items) {
    const raw = item.raw.trimEnd() // a pattern would try each of many spaces anew
    const key = list.ordered ? null : KEY.exec(raw)
    if (key) {
      flush()
      section.keys.push({ key: key[1] ?? '', value: (key[2] ?? '').replace(/\s+/g, ' ').trim(), line: at })
    } else {
      if (words.length === 0) wordsLine = at
      words.push(raw)
      section.items.push({ text: raw.replace(/^\s*(?:[-*+]|\d+[.)])\s+/, ''), line: at })
    }
    at += newlines(item.raw)
  }
  flush()
}

function newlines(text: string): number {
  let count = 0
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) count++
  return count
}

function leadingNewlines(text: string): number {
  return newlines(/^\s*/.exec(text)?.[0] ?? '')
}

function isEmpty(section: Section): boolean {
  return [section.keys, section.quotes, section.prose, section.tables].every(list => list.length === 0)
}

/**
 * The address of a heading inside its file, as Markdown viewers make it: lower case, spaces to hyphens,
 * other punctuation dropped. `slugOf('Drive input, far end')` is `'drive-input-far-end'`.
 */
function slugOf(title: string): string {
  return title
    .trim()
    .toLowerCase()
    .replace(/[^\p{L}\p{N}\s_-]/gu, '')
    .replace(/\s/g, '-')
}

/**
 * A table from its Markdown lines, every cell kept: a row with too many or too few stays so, and is reported.
 * `raw` begins at 1-based line `line`; its second line is the rule under the header.
 */
function readTable(raw: string, line: number): Table {
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
