import type { Window } from '../basis.ts'
import { dayMs, type Service } from '../positions/exposure.ts'
import { localClock, startOfDay } from './local-clock.ts'
import { lastStartedBy } from './months.ts'

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
    const own = { fromMs: Math.max(fromMs, window.fromMs), toMs: Math.min(toMs, window.toMs) }
    days.push({ day: new Date(wall).toISOString().slice(0, 10), ...own })
    wall += dayMs
    fromMs = toMs
  }
  return days
}

/** For days that follow each other, how long all positions together were in service on each. O(positions + days). */
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
