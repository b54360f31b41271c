/**
 * Shows stored UTC times in the depot's own time zone. A text that is no time, or none of this age, is shown as it stands
 * with words that say so: no stored value makes a page fail.
 */
export interface Times {
  /** "Wed 25 Nov 2026, 02:14" */
  moment(iso: string): string
  /** "25 Nov 2026" */
  day(iso: string): string
  /** "02:14" */
  clock(iso: string): string
  /** "2026-11-25T02:14", as a date-and-time field takes it; '' for what is no time. */
  local(iso: string): string
  /** UTC ISO text of a date-and-time field; null when it is no time of this age. */
  fromLocal(text: string): string | null
}

/** What a calendar of this program reaches; before and after it nothing can have been meant. */
const calendar = { fromMs: Date.UTC(1900, 0, 1), toMs: Date.UTC(2200, 0, 1) }

/** Milliseconds of a stored time; null for what is no time of this age. */
export function timeMs(iso: string): number | null {
  const ms = Date.parse(iso)
  return ms >= calendar.fromMs && ms < calendar.toMs ? ms : null
}

/** Where a stored time is no time, what began then is taken to have been there all along. */
export const oldestMs = calendar.fromMs

/** UTC ISO text of a moment; of one outside the calendar, its nearest end. */
export function isoOf(ms: number): string {
  const { fromMs, toMs } = calendar
  return new Date(ms >= fromMs ? Math.min(ms, toMs) : fromMs).toISOString()
}

/** From when, and how far ahead of the clock, a field takes times. */
export interface Sense {
  from: string
  aheadDays: number
}

/** What has happened: at most a day ahead, since a tablet's day may have begun before the clock's. */
export const happened: Sense = { from: '1990', aheadDays: 1 }
/** What is planned or agreed, such as the day an action is due. */
export const planned: Sense = { from: '1990', aheadDays: 3653 }
/** Since when something is there, which may be older than all that is on record of it. */
export const putInPlace: Sense = { from: '1950', aheadDays: 1 }

/** What is wrong with a time or day (UTC ISO text) that was typed, as a sentence; null when it is within sense. */
export function timeTrouble(iso: string, { from, aheadDays }: Sense, now: Date): string | null {
  const ms = timeMs(iso)
  if (ms === null || ms < Date.UTC(Number(from), 0, 1)) return `Give a day from ${from} on.`
  if (ms <= now.getTime() + aheadDays * DAY_MS) return null
  return aheadDays > 1 ? 'That is more than ten years ahead.' : 'That is still to come.'
}

const DAY_MS = 86_400_000

export function createTimes(timeZone: string): Times {
  const base = { timeZone, hour12: false } as const
  const day = new Intl.DateTimeFormat('en-GB', { ...base, day: 'numeric', month: 'short', year: 'numeric' })
  const weekday = new Intl.DateTimeFormat('en-GB', { ...base, weekday: 'short' })
  const clock = new Intl.DateTimeFormat('en-GB', { ...base, hour: '2-digit', minute: '2-digit' })
  const last = { minute: Number.NaN, text: '' } // told with every form that is kept, and the same for a minute
  function clockAt(ms: number): string {
    const minute = Math.floor(ms / 60_000)
    if (minute !== last.minute) Object.assign(last, { minute, text: clock.format(ms) })
    return last.text
  }
  const shown = (format: (ms: number) => string) => (iso: string) => {
    const ms = timeMs(iso)
    return ms === null ? oddTime(iso) : format(ms)
  }
  return {
    moment: shown(ms => `${weekday.format(ms)} ${day.format(ms)}, ${clockAt(ms)}`),
    day: shown(ms => day.format(ms)),
    clock: shown(clockAt),
    local: iso => (timeMs(iso) === null ? '' : local(new Date(iso), timeZone)),
    fromLocal: text => fromLocal(text, timeZone),
  }
}

function oddTime(text: string): string {
  const said = text.length > 40 ? `${text.slice(0, 40)}…` : text
  return `“${said}” (no such time)`
}

function local(at: Date, timeZone: string): string {
  return at.toLocaleString('sv-SE', { timeZone }).replace(' ', 'T').slice(0, 16)
}

/** Reads the text as if it were UTC, then takes off what the zone is ahead; twice, for the night the clocks change. */
function fromLocal(text: string, timeZone: string): string | null {
  const wanted = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/.test(text) ? timeMs(`${text}Z`) : null
  if (wanted === null) return null
  let at = wanted
  for (let turn = 0; turn < 2; turn += 1) at += wanted - Date.parse(`${local(new Date(at), timeZone)}Z`)
  return new Date(at).toISOString()
}

/** "1 h 25 min", "45 min", "3 days" */
export function duration(minutes: number): string {
  const whole = Math.max(0, Math.round(minutes))
  if (whole >= 2880) return `${Math.round(whole / 1440)} days`
  if (whole < 60) return `${whole} min`
  return whole % 60 === 0 ? `${whole / 60} h` : `${Math.floor(whole / 60)} h ${whole % 60} min`
}
