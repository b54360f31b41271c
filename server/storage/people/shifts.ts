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
  /** What was on record by then that the tablet did not know of; null when nothing was. */
  beside: string | null
  /** What it changes, a sentence a line; null when nothing. */
  changes: string | null
}

export interface ArrivedAct extends LateAct {
  byName: string
  arrivedAt: string
}

/** A fault where something arrived late. */
export interface ToldFault {
  faultId: string
  siteName: string
  positionName: string
  /** When the last of it arrived. */
  at: string
}

export interface Shifts {
  start(shift: Omit<Shift, 'startedAt'> & { tokenHash: string }): void
  findByToken(tokenHash: string): Shift | null
  findAct(id: string): ArrivedAct | null
  addAct(act: LateAct, arrivedAt: string): void
  /** What a fault's record could not take, or took in late beside what the tablet did not know of; oldest first. */
  listLate(faultId: string): ArrivedAct[]
  /** Ids of a fault's acts that arrived after that moment. */
  arrivedSince(faultId: string, at: string): string[]
  /** Faults where something arrived late after that moment, for the person who attended them; null: for everybody. */
  listTold(since: string, personId: string | null): ToldFault[]
}

const insert = sql(`INSERT INTO shifts (id, person_id, tablet_id, token_hash, started_at, until)
  VALUES (@id, @personId, @tabletId, @tokenHash, @at, @until)`)
const byToken = sql<[string], Shift>(`
  SELECT id, person_id AS personId, tablet_id AS tabletId, started_at AS startedAt, until
  FROM shifts WHERE token_hash = ?`)
/** Two acts of one number are both kept. */
const freeSeq = `iif(EXISTS (SELECT 1 FROM late_acts WHERE shift_id = @shiftId AND seq = @seq),
    (SELECT max(seq) + 1 FROM late_acts WHERE shift_id = @shiftId), @seq)`
const insertAct = sql(`
  INSERT INTO late_acts (id, shift_id, seq, path, fault_id, fields, done_at, clock_ahead_ms, arrived_at, apart,
    beside, changes)
  VALUES (@id, @shiftId, ${freeSeq}, @path, (SELECT id FROM faults WHERE id = @faultId), @fields, @doneAt, @clockAheadMs,
    @arrivedAt, @apart, @beside, @changes)`)
type Row = Omit<ArrivedAct, 'fields'> & { fields: string }
const columns = `a.id, a.shift_id AS shiftId, a.seq, a.path, a.fault_id AS faultId, a.fields, a.done_at AS doneAt,
  a.clock_ahead_ms AS clockAheadMs, a.arrived_at AS arrivedAt, a.apart, a.beside, a.changes,
  p.name AS byName
  FROM late_acts a JOIN shifts s ON s.id = a.shift_id JOIN people p ON p.id = s.person_id`
const act = sql<[string], Row>(`SELECT ${columns} WHERE a.id = ?`)
const lateOf = sql<[string], Row>(
  `SELECT ${columns} WHERE a.fault_id = ? AND (a.apart IS NOT NULL OR a.beside IS NOT NULL)
  ORDER BY a.done_at, a.shift_id, a.seq`,
)
const since = sql<[string, string], { id: string }>(
  'SELECT id FROM late_acts WHERE fault_id = ? AND arrived_at > ?',
)
const told = sql<{ since: string; personId: string | null }, ToldFault>(`
  SELECT a.fault_id AS faultId, s.name AS siteName, p.name AS positionName, max(a.arrived_at) AS at
  FROM late_acts a JOIN faults f ON f.id = a.fault_id JOIN positions p ON p.id = f.position_id
    JOIN sites s ON s.id = p.site_id
  WHERE a.arrived_at > @since AND (a.apart IS NOT NULL OR a.beside IS NOT NULL)
    AND (@personId IS NULL
      OR EXISTS (SELECT 1 FROM attendances t WHERE t.fault_id = a.fault_id AND t.person_id = @personId)
      OR EXISTS (SELECT 1 FROM shifts h WHERE h.id = a.shift_id AND h.person_id = @personId))
  GROUP BY a.fault_id ORDER BY at DESC`)

export function createShifts({ db, write, moment }: Writer): Shifts {
  return {
    start: shift => void write(() => insert(db).run({ ...shift, at: moment() })),
    findByToken: tokenHash => byToken(db).get(tokenHash) ?? null,
    findAct: id => read(act(db).get(id)),
    addAct: (made, arrivedAt) =>
      void write(() => insertAct(db).run({ ...made, arrivedAt, fields: JSON.stringify(made.fields) })),
    arrivedSince: (faultId, at) =>
      since(db)
        .all(faultId, at)
        .map(({ id }) => id),
    listTold: (since, personId) => told(db).all({ since, personId }),
    listLate: faultId =>
      lateOf(db)
        .all(faultId)
        .flatMap(row => read(row) ?? []),
  }
}

function read(row: Row | undefined): ArrivedAct | null {
  return row ? { ...row, fields: JSON.parse(row.fields) } : null
}
