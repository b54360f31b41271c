import type { Restoration } from '../../walk/record.ts'
import { nextSeq, sql } from '../engine/sql.ts'
import type { New, Writer } from '../engine/writer.ts'
import { type Appends, type Attendances, createAppends } from './attendances.ts'

export type NewRestoration = New<Restoration>

export function createRestorations(writer: Writer, attendances: Attendances): Appends<NewRestoration> {
  return createAppends<NewRestoration>(writer, attendances, {
    stored: sql<[string], object>(`
      SELECT fault_id AS faultId, attendance_id AS attendanceId, by, item_key AS itemKey, how, note
      FROM restorations WHERE id = ?`),
    insert: sql<[object]>(`
      INSERT INTO restorations (id, fault_id, seq, attendance_id, at, by, item_key, how, note)
      VALUES (@id, @faultId, ${nextSeq('restorations', 'fault_id', '@faultId')},
        @attendanceId, @at, @by, @itemKey, @how, @note)`),
    row: ({ itemKey, how, note }) => ({ itemKey, how, note }),
  })
}
