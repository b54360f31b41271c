// An engineer's word on a fault, most of all on one that closed without a cause.

import { nextSeq, sql } from '../engine/sql.ts'
import type { New, Writer } from '../engine/writer.ts'
import type { Appends } from './attendances.ts'

export interface EngineerNote {
  id: string
  faultId: string
  at: string
  by: string
  byName: string
  words: string
  settled: boolean
}

export type NewEngineerNote = New<EngineerNote>

export type EngineerNotes = Appends<NewEngineerNote> & {
  /** Oldest first. */
  listByFault(faultId: string): EngineerNote[]
}

const stored = sql<[string], object>(
  'SELECT fault_id AS faultId, by, words, settled FROM engineer_notes WHERE id = ?',
)
const insert = sql(`
  INSERT INTO engineer_notes (id, fault_id, seq, at, by, words, settled)
  VALUES (@id, @faultId, ${nextSeq('engineer_notes', 'fault_id', '@faultId')}, @at, @by,
    @words, @settled)`)
const byFault = sql<[string], Omit<EngineerNote, 'settled'> & { settled: number }>(`
  SELECT n.id, n.fault_id AS faultId, n.at, n.by, p.name AS byName, n.words, n.settled
  FROM engineer_notes n JOIN people p ON p.id = n.by WHERE n.fault_id = ? ORDER BY n.seq`)

export function createEngineerNotes({ db, write, moment, once }: Writer): EngineerNotes {
  return {
    add(made) {
      const row = { ...made, settled: Number(made.settled) }
      return write(() =>
        once(stored(db).get(made.id), row, () => void insert(db).run({ ...row, at: moment(made.at) })),
      )
    },
    listByFault: faultId =>
      byFault(db)
        .all(faultId)
        .map(row => ({ ...row, settled: row.settled === 1 })),
  }
}
