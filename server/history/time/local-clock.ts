// The clock on the wall of the depot, for days and months that begin at its midnight.

export type Clock = (ms: number) => number

/** The wall clock of a place as if it were UTC. */
export function localClock(timeZone: string): Clock {
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

/** The moment the day of `wall`, a midnight as if it were UTC, begins; the second look settles a change of clocks near by. */
export function startOfDay(wall: number, clock: Clock): number {
  const guess = wall - (clock(wall) - wall)
  return wall - (clock(guess) - guess)
}
