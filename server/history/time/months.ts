import type { Window } from '../basis.ts'
import { type Clock, localClock, startOfDay } from './local-clock.ts'

export interface Month extends Window {
  year: number
  /** 1 to 12. */
  month: number
}

/** Every calendar month that touches the window, with its true start and end in the time zone. */
export function monthsOf(window: Window, timeZone: string): Month[] {
  const clock = localClock(timeZone)
  const first = new Date(clock(window.fromMs))
  const months: Month[] = []
  for (let i = first.getUTCFullYear() * 12 + first.getUTCMonth(); ; i++) {
    const [fromMs, toMs] = [startOf(i, clock), startOf(i + 1, clock)]
    if (fromMs >= window.toMs) return months
    months.push({ year: Math.floor(i / 12), month: (i % 12) + 1, fromMs, toMs })
  }
}

/** Events counted into months, or days, that follow each other; those outside are let go. */
export function countByMonth(atMs: Iterable<number>, months: readonly Window[]): Float64Array {
  const counts = new Float64Array(months.length)
  for (const at of atMs) {
    const i = lastStartedBy(months, at)
    const month = months[i]
    if (month !== undefined && at < month.toMs) counts[i] = (counts[i] ?? 0) + 1
  }
  return counts
}

function startOf(monthIndex: number, clock: Clock): number {
  return startOfDay(Date.UTC(Math.floor(monthIndex / 12), monthIndex % 12, 1), clock)
}

/** Index of the last that has begun; -1 before the first. */
export function lastStartedBy(months: readonly Window[], at: number): number {
  let [low, high] = [-1, months.length]
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if ((months[middle]?.fromMs ?? Infinity) <= at) low = middle
    else high = middle
  }
  return low
}
