// What is on record of the weather: words noted at faults, and how cold and warm each day was.

import { inForce } from '../engine/in-force.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import { bounds, type Span } from './history-window.ts'

export interface DayTemperatures {
  /** "2026-03-05", of the depot's calendar. */
  day: string
  /** °C */
  lowest: number
  highest: number
}

export interface HistoryWeather {
  /** How often each word was noted of a condition at faults in the window. */
  conditions(name: string, windows: readonly Span[]): { value: string; faults: number }[]
  /** Every day that has them, in order. */
  dailyTemperatures(): DayTemperatures[]
}

const conditions = sql<object, { value: string; faults: number }>(`
  SELECT c.value, count(*) AS faults FROM conditions c JOIN faults f ON f.id = c.fault_id
  WHERE c.name = @name AND f.reported_at >= @from AND f.reported_at < @to
    AND ${inForce('faults', 'f.id')}
  GROUP BY c.value ORDER BY faults DESC, c.value`)
const days = sql<[], DayTemperatures>(`
  SELECT day, lowest, highest FROM daily_temperatures WHERE ${inForce('daily_temperatures', 'day')} ORDER BY day`)

export function createHistoryWeather({ db }: Writer): HistoryWeather {
  return {
    conditions: (name, windows) => {
      const counts = new Map<string, number>()
      for (const window of windows)
        for (const { value, faults } of conditions(db).all({ name, ...bounds(window) }))
          counts.set(value, (counts.get(value) ?? 0) + faults)
      return [...counts].map(([value, faults]) => ({ value, faults })).sort((a, b) => b.faults - a.faults)
    },
    dailyTemperatures: () => days(db).all(),
  }
}
