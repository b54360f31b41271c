import { assertNever } from '../../errors.ts'
import type { Proof } from '../../walk/record.ts'
import { nextSeq, sql } from '../engine/sql.ts'
import type { New, Writer } from '../engine/writer.ts'
import { type Appends, type Attendances, createAppends } from './attendances.ts'
import { type JudgedColumns, judged, readingColumns } from './findings.ts'

export type NewProof = New<Proof>

export function createProofs(writer: Writer, attendances: Attendances): Appends<NewProof> {
  return createAppends<NewProof>(writer, attendances, {
    // The range and the verdict follow from the rest, so they aren't compared.
    stored: sql<[string], object>(`
      SELECT fault_id AS faultId, attendance_id AS attendanceId, by, kind, cause, round, passed, tree, "check", text,
        reading, instrument, taken, reason
      FROM proofs WHERE id = ?`),
    insert: sql<[object]>(`
      INSERT INTO proofs (id, fault_id, seq, attendance_id, at, by, kind, cause, round, passed, tree, "check", text,
        reading, range, verdict, value, unit, instrument, taken, reason)
      VALUES (@id, @faultId, ${nextSeq('proofs', 'fault_id', '@faultId')}, @attendanceId,
        @at, @by, @kind, @cause, @round, @passed, @tree, @check, @text,
        @reading, @range, @verdict, @value, @unit, @instrument, @taken, @reason)`),
    row,
  })
}

const EMPTY = {
  tree: null,
  check: null,
  reading: null,
  range: null,
  verdict: null,
  value: null,
  unit: null,
  instrument: null,
  taken: null,
  reason: null,
}

function row(made: NewProof): object {
  const { kind, cause, round } = made
  const base = { ...EMPTY, kind, cause, round, passed: Number(made.passed) }
  switch (made.kind) {
    case 'reading':
      return { ...base, ...made.check, ...readingColumns(made), text: made.text, reason: made.reason }
    case 'observation':
      return { ...base, ...made.check, text: made.word, reason: made.reason }
    case 'symptom':
      return { ...base, text: made.word }
    default:
      return assertNever(made)
  }
}

/** As the columns come, joined with the person's name. */
export type ProofRow = JudgedColumns & {
  id: string
  attendanceId: string
  at: string
  by: string
  byName: string
  kind: Proof['kind']
  cause: string
  round: number
  passed: number
}

export function proof(row: ProofRow): Proof {
  const { id, attendanceId, at, by, byName, kind, cause, round, reason } = row
  const base = { id, attendanceId, at, by, byName, cause, round, passed: row.passed === 1 }
  const check = { tree: row.tree ?? '', check: row.check ?? '' }
  const text = row.text ?? ''
  switch (kind) {
    case 'reading':
      return { ...base, kind, check, text, reason, ...judged(row) }
    case 'observation':
      return { ...base, kind, check, word: text, reason }
    case 'symptom':
      return { ...base, kind, word: text as 'gone' | 'still there' | 'cannot tell' }
    default:
      return assertNever(kind)
  }
}
