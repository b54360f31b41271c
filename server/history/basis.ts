// What a figure stands on: the window, what was left out and why, how fresh the data is, and how many.

export interface Window {
  fromMs: number
  /** Not included. */
  toMs: number
}

export interface Basis extends Window {
  /** The moment up to which the data is known. */
  asAtMs: number
  n: number
  excluded: { reason: string; count: number }[]
  /** Stretches of the window of which no record is known. */
  unknown?: Window[]
}

/** "1 January 2025 to 31 December 2025, data as at 3 January 2026, n = 41, left out: 2 duplicate". */
export function basisWords(basis: Basis, timeZone: string): string {
  const day = new Intl.DateTimeFormat('en-GB', { dateStyle: 'long', timeZone })
  const span = `${day.format(basis.fromMs)} to ${day.format(basis.toMs - 1)}`
  const out = basis.excluded.map(e => `${e.count} ${e.reason}`).join(', ')
  const gaps = (basis.unknown ?? []).map(gap => `${day.format(gap.fromMs)} to ${day.format(gap.toMs - 1)}`)
  const unknown = gaps.length === 0 ? '' : `, not known and not counted: ${gaps.join(' and ')}`
  return `${span}, data as at ${day.format(basis.asAtMs)}, n = ${basis.n}, left out: ${out || 'none'}${unknown}`
}

export function countsOf(counts: Map<string, number>): { reason: string; count: number }[] {
  return [...counts].map(([reason, count]) => ({ reason, count })).sort((a, b) => b.count - a.count)
}
