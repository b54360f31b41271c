import { AppError } from '../../errors.ts'
import type { Attendance } from '../../walk/record.ts'
import { actor } from '../engine/acting.ts'
import { type Connection, nextSeq, type Query, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export type NewAttendance = Omit<
  Attendance,
  'personName' | 'startedAt' | 'endedAt' | 'endedHow' | 'endedWords'
> & {
  startedAt?: string
  /** What stands disturbed and was confirmed one by one by whoever begins; none where nothing does. */
  takenOver?: { key: string; text: string }[]
}

export type EndedHow = 'closed' | 'handed over' | 'taken over'

export interface Attendances {
  /** 'conflict' when somebody has the fault in hand or it is closed. */
  start(attendance: NewAttendance, handoverId?: string): Written
  /** 'conflict' when it ended in another way before. */
  end(id: string, how: EndedHow, at?: string, words?: string): Written
  openOf(faultId: string): Attendance | null
  /**
   * 'conflict' unless the attendance is this person's, at this fault, and still open, and the fault is neither closed nor
   * handed over; 'not found' when there is no such attendance.
   */
  mustBeInHand(made: Holding): void
  /** As mustBeInHand, of a fault that may be handed over and wait for the next person. */
  mustBeHeld(made: Holding): void
}

interface Holding {
  faultId: string
  attendanceId: string
  by: string
}

const open = sql<[string], Attendance>(`
  SELECT a.id, a.fault_id AS faultId, a.person_id AS personId, p.name AS personName, a.started_at AS startedAt,
    a.seen_history_at AS seenHistoryAt, a.spoken_to AS spokenTo, a.protection_words AS protectionWords,
    a.isolation_words AS isolationWords, a.expected_finish AS expectedFinish, a.ended_at AS endedAt,
    a.ended_how AS endedHow, a.ended_words AS endedWords
  FROM attendances a JOIN people p ON p.id = a.person_id WHERE a.fault_id = ? AND a.ended_at IS NULL`)
const stored = sql<[string], object>(`
  SELECT fault_id AS faultId, person_id AS personId, spoken_to AS spokenTo, protection_words AS protectionWords,
    isolation_words AS isolationWords, expected_finish AS expectedFinish, handover_id AS handoverId,
    (SELECT json_group_array(json_array(i.key, i.text)) FROM
      (SELECT key, text FROM taken_over_items WHERE attendance_id = a.id ORDER BY place) i) AS list
  FROM attendances a WHERE id = ?`)
const insert = sql(`
  INSERT INTO attendances (id, fault_id, seq, person_id, started_at, seen_history_at, spoken_to, protection_words,
    isolation_words, expected_finish, handover_id, ended_at, ended_how, ended_words)
  VALUES (@id, @faultId, ${nextSeq('attendances', 'fault_id', '@faultId')}, @personId,
    @startedAt, @seenHistoryAt, @spokenTo, @protectionWords, @isolationWords, @expectedFinish, @handoverId,
    @endedAt, @endedHow, @endedWords)`)
const insertItem = sql(
  'INSERT INTO taken_over_items (attendance_id, key, place, text) VALUES (@attendanceId, @key, @place, @text)',
)
const end = sql(
  'UPDATE attendances SET ended_at = @at, ended_how = @how, ended_words = @words WHERE id = @id',
)
const state = sql<[string], State>(`
  SELECT a.fault_id AS faultId, a.person_id AS personId, p.name AS personName, a.ended_how AS endedHow,
    EXISTS (SELECT 1 FROM closures c WHERE c.fault_id = a.fault_id) AS closed,
    (SELECT w.handover_id IS NULL FROM handovers h LEFT JOIN handover_withdrawals w ON w.handover_id = h.id
      WHERE h.fault_id = a.fault_id AND h.attendance_id = a.id ORDER BY h.seq DESC LIMIT 1) AS handedOver
  FROM attendances a JOIN people p ON p.id = a.person_id WHERE a.id = ?`)
const isClosed = sql<[string]>('SELECT 1 FROM closures WHERE fault_id = ?')

export function createAttendances({ db, write, moment, once }: Writer): Attendances {
  return {
    openOf: faultId => open(db).get(faultId) ?? null,

    start(made, handoverId) {
      const expectedFinish = made.expectedFinish === null ? null : moment(made.expectedFinish)
      const takenOver = made.takenOver ?? []
      const list = JSON.stringify(takenOver.map(({ key, text }) => [key, text]))
      const row = { ...made, takenOver: null, list, expectedFinish, handoverId: handoverId ?? null }
      return write(() =>
        once(stored(db).get(made.id), row, () => {
          if (isClosed(db).get(made.faultId) && !actor().late?.alsoClosed) throw closed()
          const other = open(db).get(made.faultId)
          const times = { startedAt: moment(made.startedAt), seenHistoryAt: moment(made.seenHistoryAt) }
          insert(db).run({ ...row, ...times, ...besideOf(other) })
          for (const [place, item] of takenOver.entries())
            insertItem(db).run({ ...item, attendanceId: made.id, place })
        }),
      )
    },

    end: (id, how, at, words) =>
      write(() => {
        const { endedHow } = stateOf(db, id)
        if (endedHow === how) return { repeated: true }
        // Somebody else came first: for what was done without signal that makes no difference.
        if (endedHow !== null && actor().late) return { repeated: true }
        if (endedHow !== null)
          throw new AppError('conflict', `This attendance has already ended: ${endedHow}.`)
        end(db).run({ id, how, at: moment(at), words: words ?? null })
        return { repeated: false }
      }),

    mustBeInHand: made => mustBeInHand(db, made),
    mustBeHeld: made => void mustBeHeld(db, made),
  }
}

/** How an attendance stands that begins: open, or beside the one that is, where it began without signal. */
function besideOf(other: Attendance | undefined) {
  if (!other) return { endedAt: null, endedHow: null, endedWords: null }
  const { late } = actor()
  if (!late) throw new AppError('conflict', `${other.personName} has this fault in hand.`)
  const endedWords = `Arrived late: ${other.personName} had the fault in hand by then.`
  return { endedAt: late.arrivedAt, endedHow: 'taken over', endedWords }
}

function mustBeInHand(db: Connection, made: Holding): void {
  // What was done without signal is taken in, whoever has the fault in hand by now.
  if (actor().late) {
    mustBeTheirs(db, made)
    return
  }
  const { handedOver } = mustBeHeld(db, made)
  if (handedOver)
    throw new AppError('conflict', 'This fault is handed over. Take it back first, from its own page.')
}

function mustBeHeld(db: Connection, { faultId, attendanceId, by }: Holding): State {
  const attendance = stateOf(db, attendanceId)
  if (attendance.faultId !== faultId)
    throw new AppError('conflict', 'This attendance belongs to another fault.')
  if (attendance.closed) throw closed()
  if (attendance.endedHow !== null)
    throw new AppError('conflict', `This attendance has ended: ${attendance.endedHow}.`)
  if (attendance.personId !== by)
    throw new AppError('conflict', `${attendance.personName} has this fault in hand.`)
  return attendance
}

function mustBeTheirs(db: Connection, { faultId, attendanceId, by }: Holding): void {
  const attendance = stateOf(db, attendanceId)
  if (attendance.closed && !actor().late?.alsoClosed) throw closed()
  if (attendance.faultId !== faultId || attendance.personId !== by)
    throw new AppError('conflict', 'This attendance is another’s.')
}

function stateOf(db: Connection, id: string): State {
  const attendance = state(db).get(id)
  if (attendance === undefined) throw new AppError('not found', 'There is no such attendance.')
  return attendance
}

interface State {
  faultId: string
  personId: string
  personName: string
  endedHow: EndedHow | null
  closed: number
  /** Whether its newest handover was not taken back; null without one. */
  handedOver: number | null
}

export function closed(): AppError {
  return new AppError('conflict', 'This fault is closed. Report a new fault if something is still wrong.')
}

export interface Appends<N> {
  /**
   * 'conflict' when the fault is closed, when the attendance has ended or is another person's, and when the id is
   * stored with other content.
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
  stored: Query<[string], object>
  insert: Query<[object]>
  row(made: N): object
  /** Checked before the row is written, within the transaction. */
  before?(made: N): void
  /** Done after it, within the transaction. */
  after?(made: N, at: string): void
}

/** What a technician does in an attendance is written in one way: once, by the person who has the fault in hand. */
export function createAppends<N extends Made>(
  { db, write, moment, once }: Writer,
  { mustBeInHand }: Attendances,
  { stored, insert, row, before, after }: Appending<N>,
): Appends<N> {
  return {
    add(made) {
      const { id, faultId, attendanceId, by } = made
      const content = { id, faultId, attendanceId, by, ...row(made) }
      return write(() =>
        once(stored(db).get(id), content, () => {
          mustBeInHand(made)
          before?.(made)
          const at = moment(made.at)
          insert(db).run({ at, ...content })
          after?.(made, at)
        }),
      )
    },
  }
}
