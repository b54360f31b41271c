import type { Window } from '../history/basis.ts'
import { dayTrouble, happened, type Times } from '../times.ts'

/** The stretch of time a review looks at. */
export interface AskedWindow {
  /** As typed, for the date fields; `to` is the last day counted, '' for up to now. */
  from: string
  to: string
  /** '' or `?from=…&to=…`, for the links between the pages of one review. */
  query: string
  /** What is wrong with what was asked, by field; a day in error is left out of the window. */
  errors: { from: string | null; to: string | null }
  /** The window up to the moment it is looked at; nothing after that is known. */
  at(asAtMs: number): Window
}

const usualMonths = 24

/** From the address: `from` and `to` as days; without them the last 24 months up to now. */
export function askedWindow(
  fields: { from?: unknown; to?: unknown },
  { times, now }: { times: Times; now: Date },
): AskedWindow {
  const from = askedDay(fields.from, times, now)
  const to = askedDay(fields.to, times, now)
  if (from.startMs !== null && to.startMs !== null && to.startMs < from.startMs) {
    Object.assign(to, { error: 'That is before the first day of the window.', startMs: null })
  }
  const query = new URLSearchParams()
  if (from.startMs !== null) query.set('from', from.text)
  if (to.startMs !== null) query.set('to', to.text)
  const text = query.toString()
  return {
    from: from.text,
    to: to.text,
    query: text === '' ? '' : `?${text}`,
    errors: { from: from.error, to: to.error },
    at(asAtMs) {
      const toMs = Math.min(asAtMs, to.startMs === null ? asAtMs : to.startMs + 86_400_000)
      const fromMs = from.startMs ?? monthsBefore(toMs, usualMonths)
      return { fromMs: Math.min(fromMs, toMs), toMs }
    },
  }
}

interface AskedDay {
  text: string
  startMs: number | null
  error: string | null
}

function askedDay(value: unknown, times: Times, now: Date): AskedDay {
  const text = typeof value === 'string' ? value.trim().slice(0, 40) : ''
  if (text === '') return { text, startMs: null, error: null }
  const error = dayTrouble(text, happened, now)
  const start = error === null ? times.fromLocal(`${text}T00:00`) : null
  return { text, startMs: start === null ? null : Date.parse(start), error }
}

function monthsBefore(ms: number, months: number): number {
  const at = new Date(ms)
  return at.setUTCMonth(at.getUTCMonth() - months)
}
