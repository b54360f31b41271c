/** Shows stored UTC times in the depot's own time zone. */
export interface Times {
  /** "Wed 25 Nov 2026, 02:14" */
  moment(iso: string): string
  /** "25 Nov 2026" */
  day(iso: string): string
  /** "02:14" */
  clock(iso: string): string
  /** "2026-11-25T02:14", as a date-and-time field takes it */
  local(iso: string): string
  /** UTC ISO text of a date-and-time field; null when it is no time. */
  fromLocal(text: string): string | null
}

export function createTimes(timeZone: string): Times {
  const base = { timeZone, hour12: false } as const
  const day = new Intl.DateTimeFormat('en-GB', { ...base, day: 'numeric', month: 'short', year: 'numeric' })
  const weekday = new Intl.DateTimeFormat('en-GB', { ...base, weekday: 'short' })
  const clock = new Intl.DateTimeFormat('en-GB', { ...base, hour: '2-digit', minute: '2-digit' })
  const at = (iso: string) => new Date(iso)
  const last = { minute: Number.NaN, text: '' } // told with every form that is kept, and the same for a minute
  function clockAt(iso: string): string {
    const minute = Math.floor(Date.parse(iso) / 60_000)
    if (minute !== last.minute) Object.assign(last, { minute, text: clock.format(at(iso)) })
    return last.text
  }
  return {
    moment: iso => `${weekday.format(at(iso))} ${day.format(at(iso))}, ${clockAt(iso)}`,
    day: iso => day.format(at(iso)),
    clock: clockAt,
    local: iso => local(at(iso), timeZone),
    fromLocal: text => fromLocal(text, timeZone),
  }
}

function local(at: Date, timeZone: string): string {
  return at.toLocaleString('sv-SE', { timeZone }).replace(' ', 'T').slice(0, 16)
}

/** Reads the text as if it were UTC, then takes off what the zone is ahead; twice, for the night the clocks change. */
function fromLocal(text: string, timeZone: string): string | null {
  const wanted = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/.test(text) ? Date.parse(`${text}Z`) : Number.NaN
  if (Number.isNaN(wanted)) return null
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
