// CSV as RFC 4180 describes it, safe to open in a spreadsheet program.

export type Written = string | number | null

/** One record with its line break. A cell without a value is empty. */
export function csvRecord(cells: readonly Written[]): string {
  return `${cells.map(cell => quoted(guarded(cell))).join(',')}\r\n`
}

/**
 * A text that a spreadsheet would take for a formula gets an apostrophe before it. A number, with or without
 * a unit, is left as it is: "-12.5" and "-3.2 mV" begin like a formula and are none.
 */
export function guarded(cell: Written): string {
  if (cell === null) return ''
  if (typeof cell === 'number') return String(cell)
  return /^[\s\u00a0]*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/.test(cell) && !isNumber(cell) ? `'${cell}` : cell
}

/** No sign, bracket, quote or colon may follow the figures. */
function isNumber(text: string): boolean {
  return /^[+-]?(\d+([.,]\d+)?|[.,]\d+)([eE][+-]?\d+)?([ \u00a0][\p{L}\u00b0%\u2126\u00b2]{1,8}( [\p{L}]{1,4})?)?$/u.test(
    text,
  )
}

function quoted(text: string): string {
  return /[",\r\n]/.test(text) || text !== text.trim() ? `"${text.replaceAll('"', '""')}"` : text
}
