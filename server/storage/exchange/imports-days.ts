// How cold and how warm each day was, from a file: known again by its day, and never changed by a later file.

import type { DayRow } from '../../exchange/ready-rows.ts'
import type { Writer } from '../engine/writer.ts'
import type { Load } from './imports.ts'

export function createImportedDays({ db }: Writer): Load<DayRow> {
  const known = db.prepare<[string], { lowest: number; highest: number }>(
    'SELECT lowest, highest FROM daily_temperatures WHERE day = ?',
  )
  const insert = db.prepare(`
    INSERT INTO daily_temperatures (day, lowest, highest, import_id, line)
    VALUES (@day, @lowest, @highest, @importId, @line)`)

  return (row, { id: importId }) => {
    const before = known.get(row.day)
    if (!before) {
      insert.run({ ...row, importId })
      return { state: 'new', words: '' }
    }
    if (before.lowest === row.lowest && before.highest === row.highest) return { state: 'same', words: '' }
    const was = `${before.lowest} to ${before.highest} °C`
    return { state: 'bad', words: `${row.day} is on record with ${was}; what is on record is not changed.` }
  }
}
