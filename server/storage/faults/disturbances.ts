import type { Disturbance } from '../../walk/record.ts'
import { nextSeq, sql } from '../engine/sql.ts'
import type { New, Writer } from '../engine/writer.ts'
import { type Appends, type Attendances, createAppends } from './attendances.ts'

export type NewDisturbance = New<Disturbance>

export function createDisturbances(writer: Writer, attendances: Attendances): Appends<NewDisturbance> {
  return createAppends<NewDisturbance>(writer, attendances, {
    stored: sql<[string], object>(`
      SELECT fault_id AS faultId, attendance_id AS attendanceId, by, item FROM disturbances WHERE id = ?`),
    insert: sql<[object]>(`
      INSERT INTO disturbances (id, fault_id, seq, attendance_id, at, by, item)
      VALUES (@id, @faultId, ${nextSeq('disturbances', 'fault_id', '@faultId')},
        @attendanceId, @at, @by, @item)`),
    row: ({ item }) => ({ item }),
  })
}
