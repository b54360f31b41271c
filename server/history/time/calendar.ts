// Calendar days and months of the depot, each with its true start and end.

import type { Window } from '../basis.ts'
import { dayMs, type Service } from '../positions/exposure.ts'

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

/** Events counted into consecutive months or days; those outside are dropped. */
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

// The clock on the wall of the depot, for days and months that begin at its midnight.

export type Clock = (ms: number) => number

/** The wall clock of a place as if it were UTC. */
function localClock(timeZone: string): Clock {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  })
  return ms => {
    const parts = new Map(format.formatToParts(ms).map(part => [part.type, Number(part.value)]))
    const at = (name: Intl.DateTimeFormatPartTypes) => parts.get(name) ?? 0
    return Date.UTC(at('year'), at('month') - 1, at('day'), at('hour'), at('minute'), at('second'))
  }
}

/**
 * The moment the day of `wall`, a midnight as if it were UTC,
 * begins; the second look settles a change of clocks near by.
 */
function startOfDay(wall: number, clock: Clock): number {
  const guess = wall - (clock(wall) - wall)
  return wall - (clock(guess) - guess)
}

export interface Day extends Window {
  /** "2026-03-05", of the place's calendar. */
  day: string
}

/** Every calendar day that touches the window, cut off at its ends. */
export function daysOf(window: Window, timeZone: string): Day[] {
  const clock = localClock(timeZone)
  const days: Day[] = []
  let wall = Math.floor(clock(window.fromMs) / dayMs) * dayMs
  let fromMs = startOfDay(wall, clock)
  while (Math.max(fromMs, window.fromMs) < window.toMs) {
    const toMs = startOfDay(wall + dayMs, clock)
    const inside = { fromMs: Math.max(fromMs, window.fromMs), toMs: Math.min(toMs, window.toMs) }
    days.push({ day: new Date(wall).toISOString().slice(0, 10), ...inside })
    wall += dayMs
    fromMs = toMs
  }
  return days
}

/**
 * For days that follow each other, how long all positions
 * together were in service on each. O(positions + days).
 */
export function serviceOfDays(services: Iterable<Service>, days: readonly Day[]): Float64Array {
  const [first, last] = [days[0], days.at(-1)]
  const total = new Float64Array(days.length)
  if (first === undefined || last === undefined) return total
  const whole = new Float64Array(days.length + 1)
  for (const { inServiceMs, outOfServiceMs } of services) {
    const from = Math.max(first.fromMs, inServiceMs)
    const to = Math.min(last.toMs, outOfServiceMs ?? Infinity)
    if (to <= from) continue
    const [a, b] = [lastStartedBy(days, from), lastStartedBy(days, to - 1)]
    // Counted as in service all day from the first to the last, and what is too much on those two taken off.
    whole[a] = (whole[a] ?? 0) + 1
    whole[b + 1] = (whole[b + 1] ?? 0) - 1
    total[a] = (total[a] ?? 0) - (from - (days[a]?.fromMs ?? from))
    total[b] = (total[b] ?? 0) - ((days[b]?.toMs ?? to) - to)
  }
  let there = 0
  days.forEach((day, i) => {
    there += whole[i] ?? 0
    total[i] = ((total[i] ?? 0) + there * (day.toMs - day.fromMs)) / dayMs
  })
  return total
}
