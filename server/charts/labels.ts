// Numbers and dates as charts and their tables write them. One fixed locale; dates in UTC.

const number = new Intl.NumberFormat('en-GB', { maximumSignificantDigits: 4 })
const whole = new Intl.NumberFormat('en-GB', { maximumFractionDigits: 0 })
const date = new Intl.DateTimeFormat('en-GB', {
  day: 'numeric',
  month: 'short',
  year: 'numeric',
  timeZone: 'UTC',
})
const month = new Intl.DateTimeFormat('en-GB', { month: 'short', timeZone: 'UTC' })
const dayAndMonth = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', timeZone: 'UTC' })

/** Up to four significant digits; a dash for nothing. */
export function numberLabel(value: number | null): string {
  return value === null ? '–' : number.format(value)
}

/** In whole percent; "100 %" stands for all of it and for nothing less. */
export function percentLabel(share: number | null): string {
  if (share === null) return '–'
  return share >= 0.995 && share < 1 ? 'over 99 %' : `${whole.format(100 * share)} %`
}

export function dateLabel(ms: number): string {
  return date.format(ms)
}

/** A tick says only what changes: the year at its start, else the month, else the day. */
export function tickDate(ms: number): string {
  const at = new Date(ms)
  if (at.getUTCDate() !== 1) return dayAndMonth.format(ms)
  return at.getUTCMonth() === 0 ? String(at.getUTCFullYear()) : month.format(ms)
}

export function clipped(words: string, length: number): string {
  return words.length <= length ? words : `${words.slice(0, length - 1).trimEnd()}…`
}
