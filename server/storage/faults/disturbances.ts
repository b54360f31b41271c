import type { Disturbance } from '../../walk/record.ts'
import { type Appends, createAppends } from '../engine/append.ts'
import type { New, Writer } from '../engine/writer.ts'
import type { Attendances } from './attendances.ts'

export type NewDisturbance = New<Disturbance>

export function createDisturbances(writer: Writer, attendances: Attendances): Appends<NewDisturbance> {
  return createAppends<NewDisturbance>(writer, attendances, {
    known: writer.db.prepare(`
      SELECT fault_id AS faultId, attendance_id AS attendanceId, by, item FROM disturbances WHERE id = ?`),
    insert: writer.db.prepare(`
      INSERT INTO disturbances (id, fault_id, seq, attendance_id, at, by, item)
      VALUES (@id, @faultId, (SELECT coalesce(max(seq), 0) + 1 FROM disturbances WHERE fault_id = @faultId),
        @attendanceId, @at, @by, @item)`),
    row: ({ item }) => ({ item }),
  })
}
