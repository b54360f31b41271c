// Shifts that tablets carry where there is no signal, and what was done there before the depot knew of it.

import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface Shift {
  id: string
  personId: string
  tabletId: string | null
  startedAt: string
  until: string
}

/** `apart`: why the depot could not record it as it was sent; null when it did. */
export interface LateAct {
  id: string
  shiftId: string
  /** Its number on the tablet, from 1. */
  seq: number
  path: string
  /** The fault it belongs to; null for a round, or when the depot has no such fault. */
  faultId: string | null
  fields: Record<string, string>
  doneAt: string
  clockAheadMs: number | null
  apart: string | null
}

export interface ArrivedAct extends LateAct {
  byName: string
  arrivedAt: string
}

export interface Shifts {
  start(shift: Omit<Shift, 'startedAt'> & { tokenHash: string }): void
  findByToken(tokenHash: string): Shift | null
  findAct(id: string): ArrivedAct | null
  addAct(act: LateAct, arrivedAt: string): void
  /** What a fault's record could not take, oldest first. */
  listApart(faultId: string): ArrivedAct[]
}

const insert = sql(`INSERT INTO shifts (id, person_id, tablet_id, token_hash, started_at, until)
  VALUES (@id, @personId, @tabletId, @tokenHash, @at, @until)`)
const byToken = sql<[string], Shift>(`
  SELECT id, person_id AS personId, tablet_id AS tabletId, started_at AS startedAt, until
  FROM shifts WHERE token_hash = ?`)
const insertAct = sql(`
  INSERT INTO late_acts (id, shift_id, seq, path, fault_id, fields, done_at, clock_ahead_ms, arrived_at, apart)
  VALUES (@id, @shiftId, @seq, @path, (SELECT id FROM faults WHERE id = @faultId), @fields, @doneAt, @clockAheadMs,
    @arrivedAt, @apart)`)
type Row = Omit<ArrivedAct, 'fields'> & { fields: string }
const columns = `a.id, a.shift_id AS shiftId, a.seq, a.path, a.fault_id AS faultId, a.fields, a.done_at AS doneAt,
  a.clock_ahead_ms AS clockAheadMs, a.arrived_at AS arrivedAt, a.apart, p.name AS byName
  FROM late_acts a JOIN shifts s ON s.id = a.shift_id JOIN people p ON p.id = s.person_id`
const act = sql<[string], Row>(`SELECT ${columns} WHERE a.id = ?`)
const apartOf = sql<[string], Row>(
  `SELECT ${columns} WHERE a.fault_id = ? AND a.apart IS NOT NULL ORDER BY a.done_at, a.seq`,
)

export function createShifts({ db, write, moment }: Writer): Shifts {
  return {
    start: shift => void write(() => insert(db).run({ ...shift, at: moment() })),
    findByToken: tokenHash => byToken(db).get(tokenHash) ?? null,
    findAct: id => read(act(db).get(id)),
    addAct: (made, arrivedAt) =>
      void write(() => insertAct(db).run({ ...made, arrivedAt, fields: JSON.stringify(made.fields) })),
    listApart: faultId =>
      apartOf(db)
        .all(faultId)
        .flatMap(row => read(row) ?? []),
  }
}

function read(row: Row | undefined): ArrivedAct | null {
  return row ? { ...row, fields: JSON.parse(row.fields) } : null
}
