import type { Window } from '../history/basis.ts'
import type { Times } from '../times.ts'

/** The stretch of time a review looks at. */
export interface AskedWindow {
  /** As the date fields show it; `to` is the last day counted, '' for up to now. */
  from: string
  to: string
  /** '' or `?from=…&to=…`, for the links between the pages of one review. */
  query: string
  /** The window up to the moment it is looked at; nothing after that is known. */
  at(asAtMs: number): Window
}

const usualMonths = 24
const day = /^\d{4}-\d{2}-\d{2}$/

/** From the address: `from` and `to` as days; without them the last 24 months up to now. */
export function askedWindow(fields: { from?: unknown; to?: unknown }, times: Times): AskedWindow {
  const [from, to] = [asked(fields.from, times), asked(fields.to, times)]
  const query = new URLSearchParams()
  if (from !== null) query.set('from', from.text)
  if (to !== null) query.set('to', to.text)
  const text = query.toString()
  return {
    from: from?.text ?? '',
    to: to?.text ?? '',
    query: text === '' ? '' : `?${text}`,
    at(asAtMs) {
      const toMs = Math.min(asAtMs, to === null ? asAtMs : to.startMs + 86_400_000)
      const fromMs = from === null ? monthsBefore(toMs, usualMonths) : from.startMs
      return { fromMs: Math.min(fromMs, toMs), toMs }
    },
  }
}

function asked(value: unknown, times: Times): { text: string; startMs: number } | null {
  if (typeof value !== 'string' || !day.test(value)) return null
  const start = times.fromLocal(`${value}T00:00`)
  return start === null ? null : { text: value, startMs: Date.parse(start) }
}

function monthsBefore(ms: number, months: number): number {
  const at = new Date(ms)
  return at.setUTCMonth(at.getUTCMonth() - months)
}
