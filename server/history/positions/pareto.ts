// Which causes take most: by count, by minutes and by delay, since each hides what the others show.

export interface Cost {
  cause: string
  /** null: not known. */
  minutes: number | null
  delayMinutes: number | null
}

export type ParetoMeasure = 'count' | 'minutes' | 'delay'

export interface ParetoRow {
  cause: string
  amount: number
  share: number
  /** Share of this and all above it. */
  running: number
  /** Faults of this cause, and how many of them had the figure. */
  n: number
  known: number
}

export interface Totals {
  cause: string
  n: number
  minutes: number
  withMinutes: number
  delay: number
  withDelay: number
}

/** One pass over the faults, whatever their number; one row per cause. */
export function totalsByCause(faults: Iterable<Cost>): Totals[] {
  const totals = new Map<string, Totals>()
  for (const { cause, minutes, delayMinutes } of faults) {
    let row = totals.get(cause)
    if (row === undefined) {
      row = { cause, n: 0, minutes: 0, withMinutes: 0, delay: 0, withDelay: 0 }
      totals.set(cause, row)
    }
    row.n++
    row.minutes += minutes ?? 0
    row.delay += delayMinutes ?? 0
    if (minutes !== null) row.withMinutes++
    if (delayMinutes !== null) row.withDelay++
  }
  return [...totals.values()]
}

/** Largest first; ties by name. */
export function pareto(totals: readonly Totals[], by: ParetoMeasure): ParetoRow[] {
  const rows = totals.map(row => ({ cause: row.cause, n: row.n, ...measured(row, by) }))
  const all = rows.reduce((total, row) => total + row.amount, 0)
  rows.sort((a, b) => b.amount - a.amount || (a.cause < b.cause ? -1 : 1))
  let running = 0
  return rows.map(row => {
    running += row.amount
    return { ...row, share: all === 0 ? 0 : row.amount / all, running: all === 0 ? 0 : running / all }
  })
}

function measured(row: Totals, by: ParetoMeasure): { amount: number; known: number } {
  switch (by) {
    case 'count':
      return { amount: row.n, known: row.n }
    case 'minutes':
      return { amount: row.minutes, known: row.withMinutes }
    case 'delay':
      return { amount: row.delay, known: row.withDelay }
  }
}
