import { AppError, assertNever } from '../../errors.ts'
import type { Range } from '../../measurement/limits/expectation.ts'
import type { Reading } from '../../measurement/readings/reading.ts'
import type { Taken } from '../../measurement/readings/taken.ts'
import type { Verdict } from '../../measurement/verdicts/verdict.ts'
import type { Finding } from '../../walk/record.ts'
import { nextSeq, sql } from '../engine/sql.ts'
import type { New, Writer } from '../engine/writer.ts'
import { type Appends, type Attendances, createAppends } from './attendances.ts'

export type NewFinding = New<Finding>
/** 'conflict' also when it corrects a finding that is of another fault or has been corrected already. */
export type Findings = Appends<NewFinding>

const replaced = sql<object, { taken: number }>(`
  SELECT EXISTS (SELECT 1 FROM findings WHERE replaces = @replaces) AS taken
  FROM findings WHERE id = @replaces AND fault_id = @faultId`)

export function createFindings(writer: Writer, attendances: Attendances): Findings {
  const { db } = writer

  return createAppends<NewFinding>(writer, attendances, {
    // The range and the verdict follow from the rest, so they aren't compared.
    stored: sql<[string], object>(`
      SELECT fault_id AS faultId, attendance_id AS attendanceId, by, kind, tree, "check", text, reading,
        chosen_row AS chosenRow, reason, note, instrument, taken, flag, replaces
      FROM findings WHERE id = ?`),
    insert: sql<[object]>(`
      INSERT INTO findings (id, fault_id, attendance_id, seq, at, by, kind, tree, "check", text, reading, range, verdict,
        value, unit, chosen_row, reason, note, instrument, taken, flag, replaces)
      VALUES (@id, @faultId, @attendanceId,
        ${nextSeq('findings', 'fault_id', '@faultId')}, @at, @by, @kind, @tree, @check, @text,
        @reading, @range, @verdict, @value, @unit, @chosenRow, @reason, @note, @instrument, @taken, @flag, @replaces)`),
    row,
    before({ replaces, faultId }) {
      if (replaces === null) return
      const corrected = replaced(db).get({ replaces, faultId })
      if (corrected === undefined)
        throw new AppError('conflict', 'The finding to correct is not one of this fault.')
      if (corrected.taken)
        throw new AppError('conflict', 'This finding has been corrected already. Correct the newer one.')
    },
  })
}

const EMPTY = {
  tree: null,
  check: null,
  text: null,
  reading: null,
  range: null,
  verdict: null,
  value: null,
  unit: null,
  chosenRow: null,
  instrument: null,
  taken: null,
  flag: 0,
}

function row(made: NewFinding): object {
  const { kind, reason, note, replaces } = made
  const columns = { kind, reason, note, replaces, ...EMPTY }
  switch (made.kind) {
    case 'reading':
      return Object.assign(columns, made.check, readingColumns(made), {
        text: made.text,
        chosenRow: made.chosenRow,
      })
    case 'observation':
      return Object.assign(columns, made.check, { text: made.word, chosenRow: made.chosenRow })
    case 'cannot tell':
      return Object.assign(columns, made.check, { chosenRow: made.chosenRow })
    case 'departure':
      return Object.assign(columns, made.to, { text: made.from, flag: Number(made.suggested) })
    case 'rejection':
      return Object.assign(columns, { text: made.cause, flag: Number(made.mended) })
    default:
      return assertNever(made)
  }
}

/** As the columns come, joined with the person's name. */
export type FindingRow = JudgedColumns & {
  id: string
  attendanceId: string
  at: string
  by: string
  byName: string
  seq: number
  replaces: string | null
  note: string | null
  kind: Finding['kind']
  chosenRow: string | null
  flag: number
}

export function finding(row: FindingRow): Finding {
  const { id, attendanceId, at, by, byName, seq, replaces, reason, note, kind, chosenRow } = row
  const base = { id, attendanceId, at, by, byName, seq, replaces, reason, note }
  const check = { tree: row.tree ?? '', check: row.check ?? '' }
  const text = row.text ?? ''
  switch (kind) {
    case 'reading':
      return { kind, check, text, chosenRow, ...base, ...judged(row) }
    case 'observation':
      return { kind, check, word: text, chosenRow, ...base }
    case 'cannot tell':
      return { kind, check, chosenRow, ...base }
    case 'departure':
      return { kind, from: text, to: check, suggested: row.flag === 1, ...base }
    case 'rejection':
      return { kind, cause: text, mended: row.flag === 1, ...base }
    default:
      return assertNever(kind)
  }
}

/** A reading with what it was held against, to columns and back; the same for a finding and for a proof. */
interface Judged {
  reading: Reading
  range: Range | null
  verdict: Verdict
  instrument: string | null
  taken?: Taken | null
}

export interface JudgedColumns {
  tree: string | null
  check: string | null
  text: string | null
  reading: string | null
  range: string | null
  verdict: string | null
  instrument: string | null
  taken: string | null
  reason: string | null
}

/** `value` is in the unit's base; null where the meter gave no number of its own (open, none, more than, less than). */
export function readingColumns({ reading, range, verdict, instrument, taken }: Judged) {
  return {
    reading: JSON.stringify(reading),
    range: range === null ? null : JSON.stringify(range),
    verdict: JSON.stringify(verdict),
    value: number(reading),
    unit: reading.unit,
    instrument,
    taken: taken ? JSON.stringify(taken) : null,
  }
}

export function judged({ reading, range, verdict, instrument, taken }: JudgedColumns): Judged {
  return {
    reading: JSON.parse(reading ?? 'null') as Reading,
    range: range === null ? null : (JSON.parse(range) as Range),
    verdict: JSON.parse(verdict ?? 'null') as Verdict,
    instrument,
    ...(taken === null ? {} : { taken: JSON.parse(taken) as Taken }),
  }
}

function number(reading: Reading): number | null {
  if (reading.kind === 'value') return reading.value
  if (reading.kind === 'unstable') return (reading.low + reading.high) / 2
  return null
}
