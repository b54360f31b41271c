// CSV as RFC 4180 describes it, safe to open in a spreadsheet program.

export type Written = string | number | null

/** One record with its line break. A cell without a value is empty. */
export function csvRecord(cells: readonly Written[]): string {
  return `${cells.map(cell => quoted(guarded(cell))).join(',')}\r\n`
}

/**
 * A sign that begins a formula, in any width (= + - @, and the true minus sign), behind spaces, quotes and what can't be
 * seen: programs drop these from before a formula when they read or paste.
 */
const likeFormula =
  /^[\s\p{Z}\p{C}\p{DI}'"\u2018-\u201f\u00b4`]*[=+\-@\uff1d\uff0b\uff0d\uff20\ufe66\ufe62\ufe63\ufe6b\u207a\u207b\u2212]|^'*[\t\r\n]/u

/** Without the signs that stand before figures. */
const calculates = /^[\s\p{Z}\p{C}\p{DI}'"\u2018-\u201f\u00b4`]*[=@\uff1d\uff20\ufe66\ufe6b]/u

/**
 * A text that a spreadsheet would take for a formula gets an apostrophe before it, and so does one that would be taken for
 * one without the apostrophes it has: taking one off again (`unguarded`) always gives the text as it was. A number alone is
 * left as it is: "-12.5" begins like a formula and is none. "-2 °C" is guarded: a program may try to work it out.
 */
export function guarded(cell: Written): string {
  if (cell === null) return ''
  if (typeof cell === 'number') return String(cell)
  return likeFormula.test(cell) && !isNumber(cell) ? `'${cell}` : cell
}

/** The text that `guarded` made this of. */
export function unguarded(text: string): string {
  return text.startsWith("'") && likeFormula.test(text.slice(1)) ? text.slice(1) : text
}

/** Whether a text asks to be calculated; a sign before figures does not. */
export function isFormula(text: string): boolean {
  return !text.startsWith("'") && calculates.test(text)
}

/** Nothing may follow the figures. */
function isNumber(text: string): boolean {
  return /^[+-]?(\d+([.,]\d+)?|[.,]\d+)([eE][+-]?\d+)?$/.test(text)
}

function quoted(text: string): string {
  return /[";,\t\r\n]/.test(text) || text !== text.trim() ? `"${text.replaceAll('"', '""')}"` : text
}
