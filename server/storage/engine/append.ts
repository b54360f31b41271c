// What a technician does in an attendance is written in one way: once, by the person who has the fault in hand.

import type Sqlite from 'better-sqlite3'
import type { Attendances } from '../faults/attendances.ts'
import type { Writer, Written } from './writer.ts'

export interface Appends<N> {
  /**
   * 'conflict' when the fault is closed, when the attendance has ended or is another person's, and when the id is
   * known with other content.
   */
  add(made: N): Written
}

interface Made {
  id: string
  faultId: string
  attendanceId: string
  by: string
  at?: string
}

export interface Appending<N> {
  /** What is stored under an id, with the names `row` has: the columns that must say the same for a repeat. */
  known: Sqlite.Statement<[string], object>
  insert: Sqlite.Statement<[object]>
  row(made: N): object
  /** Checked before the row is written, within the transaction. */
  before?(made: N): void
  /** Done after it, within the transaction. */
  after?(made: N, at: string): void
}

export function createAppends<N extends Made>(
  { write, moment, once }: Writer,
  { mustBeInHand }: Attendances,
  { known, insert, row, before, after }: Appending<N>,
): Appends<N> {
  return {
    add(made) {
      const { id, faultId, attendanceId, by } = made
      const content = { id, faultId, attendanceId, by, ...row(made) }
      return write(() =>
        once(known.get(id), content, () => {
          mustBeInHand(made)
          before?.(made)
          const at = moment(made.at)
          insert.run({ at, ...content })
          after?.(made, at)
        }),
      )
    },
  }
}
