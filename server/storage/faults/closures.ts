import type { Closure, ClosureOutcome, Signature } from '../../walk/record.ts'
import { actor } from '../engine/acting.ts'
import { nextSeq, sql } from '../engine/sql.ts'
import type { New, Writer, Written } from '../engine/writer.ts'
import type { Attendances } from './attendances.ts'
import { hashSigned } from './signed-content.ts'

/** What is signed here was attended here. */
export type NewClosure = Omit<New<Closure>, 'attendanceId' | 'outcome'> & {
  attendanceId: string
  outcome: ClosureOutcome
}
/** Signed by the person who closes, at the same moment; the hash is worked out from what is then on record. */
export type NewSignature = Omit<Signature, 'at' | 'by' | 'contentHash' | 'unseen'>

export interface Closures {
  /** Also ends the attendance. 'conflict' as for every entry of an attendance. */
  add(closure: NewClosure, signature: NewSignature): Written
}

const stored = sql<[string], object>(`
  SELECT fault_id AS faultId, attendance_id AS attendanceId, by, outcome, cause, cleared_itself AS clearedItself,
    changed, words, told, tests_after_work AS testsAfterWork
  FROM closures WHERE id = ?`)
const insert = sql(`
  INSERT INTO closures (id, fault_id, attendance_id, at, by, outcome, cause, cleared_itself, changed, words, told,
    tests_after_work)
  VALUES (@id, @faultId, @attendanceId, @at, @by, @outcome, @cause, @clearedItself, @changed, @words, @told,
    @testsAfterWork)`)
const sign = sql(`
  INSERT INTO signatures (id, fault_id, seq, attendance_id, at, by, printed_name, meaning, content_hash,
    unseen)
  VALUES (@id, @faultId, ${nextSeq('signatures', 'fault_id', '@faultId')}, @attendanceId,
    @at, @by, @printedName, @meaning, @contentHash, @unseen)`)

export function createClosures({ db, write, moment, once }: Writer, attendances: Attendances): Closures {
  return {
    add(made, signature) {
      const { faultId, attendanceId, by } = made
      const told = made.told ? JSON.stringify(made.told) : null
      const tests = made.testsAfterWork ?? []
      const testsAfterWork = tests.length > 0 ? JSON.stringify(tests) : null
      const row = { ...made, told, testsAfterWork, clearedItself: Number(made.clearedItself) }
      return write(() =>
        once(stored(db).get(made.id), row, () => {
          // Also of a fault handed over: it may end with what stays disturbed named to somebody.
          attendances.mustBeHeld(made)
          const at = moment(made.at)
          insert(db).run({ ...row, at })
          const { id, printedName, meaning } = signature
          const others = actor().late?.unseen ?? []
          const unseen = others.length > 0 ? JSON.stringify(others) : null
          const signed = { faultId, at, by, printedName, meaning, unseen }
          sign(db).run({ ...signed, id, attendanceId, contentHash: hashSigned(db, signed) })
          attendances.end(attendanceId, 'closed', at)
        }),
      )
    },
  }
}
