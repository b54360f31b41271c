/**
 * Gives a function from UTC ISO 8601 text to the same moment with the zone's own offset:
 * "2026-07-05T14:30:00.000+01:00".
 */
export function createZonedTime(timeZone: string): (utc: string) => string {
  const shown = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    hourCycle: 'h23',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
  })
  const offsets = new Map<number, number>()

  /** Minutes ahead of UTC; clocks only change at a quarter of an hour. */
  function offsetAt(time: number): number {
    const quarter = Math.floor(time / 900_000)
    const cached = offsets.get(quarter)
    if (cached !== undefined) return cached
    if (offsets.size > 50_000) offsets.clear()
    const part = new Map(shown.formatToParts(quarter * 900_000).map(one => [one.type, Number(one.value)]))
    const at = (name: Intl.DateTimeFormatPartTypes) => part.get(name) ?? 0
    const local = Date.UTC(at('year'), at('month') - 1, at('day'), at('hour'), at('minute'), at('second'))
    const offset = Math.round((local - quarter * 900_000) / 60_000)
    offsets.set(quarter, offset)
    return offset
  }

  return utc => {
    const time = Date.parse(utc)
    // What is no moment, such as a day without a time, stays as it is.
    if (Number.isNaN(time) || !utc.includes('T')) return utc
    const minutes = offsetAt(time)
    const [sign, size] = [minutes < 0 ? '-' : '+', Math.abs(minutes)]
    const two = (number: number) => String(number).padStart(2, '0')
    const local = new Date(time + minutes * 60_000).toISOString().slice(0, -1)
    return `${local}${sign}${two(Math.floor(size / 60))}:${two(size % 60)}`
  }
}
