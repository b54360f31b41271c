import type { Window } from './basis.ts'

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

/** Events counted into months that follow each other; those outside are let go. */
export function countByMonth(atMs: Iterable<number>, months: readonly Month[]): Float64Array {
  const counts = new Float64Array(months.length)
  for (const at of atMs) {
    const i = lastStartedBy(months, at)
    const month = months[i]
    if (month !== undefined && at < month.toMs) counts[i] = (counts[i] ?? 0) + 1
  }
  return counts
}

/** The wall clock of a place as if it were UTC. */
function localClock(timeZone: string): (ms: number) => number {
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

/** The moment a month begins; the second look settles a change of clocks near by. */
function startOf(monthIndex: number, clock: (ms: number) => number): number {
  const wall = Date.UTC(Math.floor(monthIndex / 12), monthIndex % 12, 1)
  const guess = wall - (clock(wall) - wall)
  return wall - (clock(guess) - guess)
}

function lastStartedBy(months: readonly Month[], at: number): number {
  let [low, high] = [-1, months.length]
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if ((months[middle]?.fromMs ?? Infinity) <= at) low = middle
    else high = middle
  }
  return low
}
