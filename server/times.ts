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

/** Which times a field takes, and what is said of those before and after. */
export interface Sense {
  fromMs(nowMs: number): number
  toMs(nowMs: number): number
  early: string
  late: string
}

const DAY_MS = 86_400_000
const since = (year: number) => () => Date.UTC(year, 0, 1)
const ahead = (ms: number) => (nowMs: number) => nowMs + ms

/** What has happened: at most a day ahead, since the depot's day may have begun before the clock's. */
export const happened: Sense = {
  fromMs: since(1990),
  toMs: ahead(DAY_MS),
  early: 'Give a day from 1990 on.',
  late: 'That is still to come.',
}
/** What happened before it is told: a minute ahead, for a tablet's clock. */
export const happenedBefore: Sense = {
  ...happened,
  toMs: ahead(60_000),
  late: 'Give the time as it was, not later than now.',
}
/** What is planned, such as the day an action is due. */
export const planned: Sense = {
  fromMs: since(1990),
  toMs: ahead(3653 * DAY_MS),
  early: 'Give a day from 1990 on.',
  late: 'That is more than ten years ahead.',
}
/** What was agreed for the work at hand; a form may have waited a week on a tablet without signal. */
export const soon: Sense = {
  fromMs: ahead(-7 * DAY_MS),
  toMs: ahead(31 * DAY_MS),
  early: 'That is past. Give the finish that was agreed, or leave it empty.',
  late: 'That is more than a month ahead. Give the finish that was agreed, or leave it empty.',
}
/** Since when something is there, which may be older than all that is on record of it. */
export const putInPlace: Sense = { ...happened, fromMs: since(1950), early: 'Give a day from 1950 on.' }
/** What a public record of the weather may reach back to. */
export const onPublicRecord = putInPlace
/** When something is taken away, which may be known beforehand. */
export const takenAway: Sense = { ...planned, fromMs: since(1950), early: 'Give a day from 1950 on.' }

/** What is wrong with a moment, or a day, of UTC ISO text, as a sentence; null when it is within sense. */
export function timeTrouble(iso: string, { fromMs, toMs, early, late }: Sense, now: Date): string | null {
  const [ms, nowMs] = [Date.parse(iso), now.getTime()]
  if (Number.isNaN(ms)) return 'Give the day as year, month and day, such as 2026-05-31.'
  if (ms < fromMs(nowMs)) return early
  return ms <= toMs(nowMs) ? null : late
}

/** What is wrong with a day as a date field gives it ("2026-05-31"), as a sentence; null when it is within sense. */
export function dayTrouble(text: string, sense: Sense, now: Date): string | null {
  const day = /^\d{4}-\d{2}-\d{2}$/.test(text) ? utcOf(`${text}T00:00`) : null
  return timeTrouble(day ?? '', sense, now)
}

/** UTC text of "2026-05-31T14:30" as if it were UTC; null for what is no such day or time, as 31 February. */
export function utcOf(text: string): string | null {
  if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/.test(text)) return null
  const ms = Date.parse(`${text}Z`)
  const utc = Number.isNaN(ms) ? '' : new Date(ms).toISOString()
  return utc.startsWith(text) ? utc : null
}

export function createTimes(timeZone: string): Times {
  const base = { timeZone, hour12: false } as const
  const day = new Intl.DateTimeFormat('en-GB', { ...base, day: 'numeric', month: 'short', year: 'numeric' })
  const weekday = new Intl.DateTimeFormat('en-GB', { ...base, weekday: 'short' })
  const clock = new Intl.DateTimeFormat('en-GB', { ...base, hour: '2-digit', minute: '2-digit' })
  const local = createLocal(timeZone)
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
    local: iso => (timeMs(iso) === null ? '' : local(Date.parse(iso))),
    fromLocal: text => fromLocal(text, local),
  }
}

function oddTime(text: string): string {
  const said = text.length > 40 ? `${text.slice(0, 40)}…` : text
  return `“${said}” (no such time)`
}

/** "2026-11-25T02:14" of the zone. The format is made once: that takes a hundred times as long as using it. */
function createLocal(timeZone: string): (ms: number) => string {
  const two = '2-digit'
  const parts = { year: 'numeric', month: two, day: two, hour: two, minute: two } as const
  const format = new Intl.DateTimeFormat('sv-SE', { timeZone, hourCycle: 'h23', ...parts })
  return ms => format.format(ms).replace(' ', 'T')
}

/** Reads the text as if it were UTC, then takes off what the zone is ahead; twice, for the night the clocks change. */
function fromLocal(text: string, local: (ms: number) => string): string | null {
  const wanted = timeMs(utcOf(text) ?? '')
  if (wanted === null) return null
  let at = wanted
  for (let turn = 0; turn < 2; turn += 1) at += wanted - Date.parse(`${local(at)}Z`)
  return new Date(at).toISOString()
}

/** "1 h 25 min", "45 min", "3 days" */
export function duration(minutes: number): string {
  const whole = Math.max(0, Math.round(minutes))
  if (whole >= 2880) return `${Math.round(whole / 1440)} days`
  if (whole < 60) return `${whole} min`
  return whole % 60 === 0 ? `${whole / 60} h` : `${Math.floor(whole / 60)} h ${whole % 60} min`
}
