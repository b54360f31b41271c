// Dates as depots write them. A date without a zone is the depot's own clock.

export type DateOrder = 'day first' | 'month first'

export type ParsedDate =
  /** `local` is "2026-03-05T14:30"; `zoned` is UTC ISO text where the file gave an offset. */
  { ok: true; local: string; hasTime: boolean; zoned: string | null } | { ok: false; reason: string }

const shape =
  /^(\d{1,4})[./\- ](\d{1,2}|[A-Za-z]{3,9})\.?[./\- ](\d{1,4})(?:[T, ]+(\d{1,2})[:.h](\d{2})(?:[:.](\d{2})(?:[.,]\d+)?)?\s*([AaPp][Mm])?)?\s*(Z|[+-]\d{2}:?\d{2})?$/
const months = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec']

/** Which orders a text could be in; both where it does not matter or is no date of figures. */
export function possibleOrders(text: string): DateOrder[] {
  const match = shape.exec(text.trim())
  const [, first = '', second = ''] = match ?? []
  if (!match || first.length > 2 || /\D/.test(second) || Number(first) === Number(second))
    return ['day first', 'month first']
  const orders: DateOrder[] = []
  if (Number(second) <= 12) orders.push('day first')
  if (Number(first) <= 12) orders.push('month first')
  return orders
}

/** Whether texts settle the order of day and month; taken in a few at a time. */
export interface OrderOf {
  add(texts: Iterable<string>): void
  /** The one they allow, null where both would do, 'mixed' where none does for all. */
  order(): DateOrder | 'mixed' | null
}

export function settleOrder(): OrderOf {
  const left = new Set<DateOrder>(['day first', 'month first'])
  let asked = false
  return {
    add(texts) {
      for (const text of texts) {
        const orders = possibleOrders(text)
        if (orders.length === 0) continue // no date at all: its row will say so
        for (const order of [...left]) if (!orders.includes(order)) left.delete(order)
        asked ||= orders.length === 2 && /^\d{1,2}\D\d{1,2}\D/.test(text.trim())
      }
    },
    order() {
      if (left.size === 0) return 'mixed'
      if (left.size === 1) return [...left][0] ?? null
      return asked ? null : 'day first'
    },
  }
}

/** Year first, day first or month first, months in figures or words, with or without a time. */
export function parseDate(text: string, order: DateOrder): ParsedDate {
  const match = shape.exec(text.trim())
  if (!match) return { ok: false, reason: `“${short(text)}” is no date` }
  const [, a = '', b = '', c = '', hours, minutes, seconds, half, zone] = match
  const [year, month, day] = datePart(a, b, c, order)
  if (year === null) return { ok: false, reason: `“${short(text)}” is no date` }
  const clock = clockPart(Number(hours ?? 0), Number(minutes ?? 0), half)
  // Date.UTC takes a year below 100 for one of the last century; in 2000 there is each day that there may be.
  const there = new Date(
    Date.UTC(2000, month - 1, day, clock ?? 0, Number(minutes ?? 0), Number(seconds ?? 0)),
  )
  const time = there.setUTCFullYear(year)
  const real =
    there.getUTCFullYear() === year && there.getUTCMonth() === month - 1 && there.getUTCDate() === day
  if (!real || clock === null || Number(minutes ?? 0) > 59)
    return { ok: false, reason: `“${short(text)}”: there is no such day or time` }
  const local = there.toISOString().slice(0, 16)
  return { ok: true, local, hasTime: hours !== undefined, zoned: zone ? zoned(time, zone) : null }
}

function datePart(
  a: string,
  b: string,
  c: string,
  order: DateOrder,
): [number, number, number] | [null, 0, 0] {
  const word = months.indexOf(b.slice(0, 3).toLowerCase()) + 1
  const month = /\D/.test(b) ? word : Number(b)
  if (a.length === 4 && c.length <= 2) return [Number(a), month, Number(c)]
  if (a.length > 2 || (c.length !== 4 && c.length !== 2)) return [null, 0, 0]
  const year = c.length === 2 ? 2000 + Number(c) : Number(c)
  return order === 'day first' || word > 0 ? [year, month, Number(a)] : [year, Number(a), Number(b)]
}

function clockPart(hours: number, minutes: number, half: string | undefined): number | null {
  if (minutes > 59) return null
  if (half) return hours < 1 || hours > 12 ? null : (hours % 12) + (half.toLowerCase() === 'pm' ? 12 : 0)
  return hours > 23 ? null : hours
}

function zoned(time: number, zone: string): string {
  if (zone === 'Z') return new Date(time).toISOString()
  const [, sign, hours = '0', minutes = '0'] = /([+-])(\d{2}):?(\d{2})/.exec(zone) ?? []
  const ahead = (Number(hours) * 60 + Number(minutes)) * 60_000 * (sign === '-' ? -1 : 1)
  return new Date(time - ahead).toISOString()
}

function short(text: string): string {
  return text.length > 40 ? `${text.slice(0, 40)}…` : text
}
