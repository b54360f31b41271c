import type { IdentityCheck } from '../../walk/record.ts'
import { nextSeq, sql } from '../engine/sql.ts'
import type { New, Writer } from '../engine/writer.ts'
import { type Appends, type Attendances, createAppends } from './attendances.ts'

export type NewIdentityCheck = New<IdentityCheck>

export function createIdentities(writer: Writer, attendances: Attendances): Appends<NewIdentityCheck> {
  return createAppends<NewIdentityCheck>(writer, attendances, {
    stored: sql<[string], object>(`
      SELECT fault_id AS faultId, attendance_id AS attendanceId, by, typed, matched FROM identities WHERE id = ?`),
    insert: sql<[object]>(`
      INSERT INTO identities (id, fault_id, seq, attendance_id, at, by, typed, matched)
      VALUES (@id, @faultId, ${nextSeq('identities', 'fault_id', '@faultId')},
        @attendanceId, @at, @by, @typed, @matched)`),
    row: ({ typed, matched }) => ({ typed, matched: Number(matched) }),
  })
}
