// How cold and how warm each day was, from a file: recognised by its day, and never changed by a later file.

import type { DayRow } from '../../exchange/ready-rows.ts'
import { inForce } from '../engine/in-force.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import { added, bad, type Planner, same } from './load-row.ts'

const stored = sql<[string], { lowest: number; highest: number }>(
  `SELECT lowest, highest FROM daily_temperatures WHERE day = ? AND ${inForce('daily_temperatures', 'day')}`,
)
const insert = sql(`
  INSERT INTO daily_temperatures (day, lowest, highest, import_id, line)
  VALUES (@day, @lowest, @highest, @importId, @line)`)

export function planDays({ db }: Writer): Planner<DayRow> {
  return (row, { id: importId }) => {
    const earlier = stored(db).get(row.day)
    if (!earlier) return { ...added(() => insert(db).run({ ...row, importId })), key: row.day }
    if (earlier.lowest === row.lowest && earlier.highest === row.highest) return same
    const was = `${earlier.lowest} to ${earlier.highest} °C`
    return bad(`${row.day} is on record with ${was}; what is on record is not changed.`)
  }
}
