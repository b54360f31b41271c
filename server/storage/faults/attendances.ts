import { AppError } from '../../errors.ts'
import type { Attendance } from '../../walk/record.ts'
import type { Writer, Written } from '../engine/writer.ts'

export type NewAttendance = Omit<
  Attendance,
  'personName' | 'startedAt' | 'endedAt' | 'endedHow' | 'endedWords'
> & {
  startedAt?: string
}

export type EndedHow = 'closed' | 'handed over' | 'taken over'

export interface Attendances {
  /** 'conflict' when somebody has the fault in hand or it is closed. */
  start(attendance: NewAttendance, handoverId?: string): Written
  /** 'conflict' when it ended in another way before. */
  end(id: string, how: EndedHow, at?: string, words?: string): Written
  openOf(faultId: string): Attendance | null
  /**
   * 'conflict' unless the attendance is this person's, at this fault, and still open, and the fault is not closed;
   * 'not found' when there is no such attendance.
   */
  mustBeInHand(made: { faultId: string; attendanceId: string; by: string }): void
}

export function createAttendances({ db, write, moment, once }: Writer): Attendances {
  const open = db.prepare<[string], Attendance>(`
    SELECT a.id, a.fault_id AS faultId, a.person_id AS personId, p.name AS personName, a.started_at AS startedAt,
      a.seen_history_at AS seenHistoryAt, a.spoken_to AS spokenTo, a.protection_words AS protectionWords,
      a.isolation_words AS isolationWords, a.expected_finish AS expectedFinish, a.ended_at AS endedAt,
      a.ended_how AS endedHow, a.ended_words AS endedWords
    FROM attendances a JOIN people p ON p.id = a.person_id WHERE a.fault_id = ? AND a.ended_at IS NULL`)
  const known = db.prepare<[string], object>(`
    SELECT fault_id AS faultId, person_id AS personId, spoken_to AS spokenTo, protection_words AS protectionWords,
      isolation_words AS isolationWords, expected_finish AS expectedFinish, handover_id AS handoverId
    FROM attendances WHERE id = ?`)
  const insert = db.prepare(`
    INSERT INTO attendances (id, fault_id, seq, person_id, started_at, seen_history_at, spoken_to, protection_words,
      isolation_words, expected_finish, handover_id)
    VALUES (@id, @faultId, (SELECT coalesce(max(seq), 0) + 1 FROM attendances WHERE fault_id = @faultId), @personId,
      @startedAt, @seenHistoryAt, @spokenTo, @protectionWords, @isolationWords, @expectedFinish, @handoverId)`)
  const end = db.prepare(
    'UPDATE attendances SET ended_at = @at, ended_how = @how, ended_words = @words WHERE id = @id',
  )
  const state = db.prepare<[string], State>(`
    SELECT a.fault_id AS faultId, a.person_id AS personId, p.name AS personName, a.ended_how AS endedHow,
      EXISTS (SELECT 1 FROM closures c WHERE c.fault_id = a.fault_id) AS closed
    FROM attendances a JOIN people p ON p.id = a.person_id WHERE a.id = ?`)
  const isClosed = db.prepare<[string]>('SELECT 1 FROM closures WHERE fault_id = ?')

  function stateOf(id: string): State {
    const found = state.get(id)
    if (found === undefined) throw new AppError('not found', 'There is no such attendance.')
    return found
  }

  return {
    openOf: faultId => open.get(faultId) ?? null,

    start(made, handoverId) {
      const expectedFinish = made.expectedFinish === null ? null : moment(made.expectedFinish)
      const row = { ...made, expectedFinish, handoverId: handoverId ?? null }
      return write(() =>
        once(known.get(made.id), row, () => {
          if (isClosed.get(made.faultId)) throw closed()
          const other = open.get(made.faultId)
          if (other) throw new AppError('conflict', `${other.personName} has this fault in hand.`)
          insert.run({ ...row, startedAt: moment(made.startedAt), seenHistoryAt: moment(made.seenHistoryAt) })
        }),
      )
    },

    end: (id, how, at, words) =>
      write(() => {
        const { endedHow } = stateOf(id)
        if (endedHow === how) return { repeated: true }
        if (endedHow !== null)
          throw new AppError('conflict', `This attendance has already ended: ${endedHow}.`)
        end.run({ id, how, at: moment(at), words: words ?? null })
        return { repeated: false }
      }),

    mustBeInHand({ faultId, attendanceId, by }) {
      const found = stateOf(attendanceId)
      if (found.faultId !== faultId)
        throw new AppError('conflict', 'This attendance belongs to another fault.')
      if (found.closed) throw closed()
      if (found.endedHow !== null)
        throw new AppError('conflict', `This attendance has ended: ${found.endedHow}.`)
      if (found.personId !== by) throw new AppError('conflict', `${found.personName} has this fault in hand.`)
    },
  }
}

interface State {
  faultId: string
  personId: string
  personName: string
  endedHow: EndedHow | null
  closed: number
}

export function closed(): AppError {
  return new AppError('conflict', 'This fault is closed. Report a new fault if something is still wrong.')
}
