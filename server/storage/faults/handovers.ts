import { AppError } from '../../errors.ts'
import type { Handover } from '../../walk/record.ts'
import { type Connection, nextSeq, scalar, sql } from '../engine/sql.ts'
import type { New, Writer, Written } from '../engine/writer.ts'
import type { Appends, Attendances, NewAttendance } from './attendances.ts'

export type NewHandover = New<Omit<Handover, 'items' | 'acceptedAt' | 'acceptedBy'>> & {
  items: { key: string; text: string }[]
}

export interface NewConfirmation {
  id: string
  handoverId: string
  key: string
  by: string
  at?: string
}

export type Handovers = Appends<NewHandover> & {
  /** 'conflict' when it is by the person handing over, or the item is confirmed by somebody else. */
  confirm(confirmation: NewConfirmation): Written
  /**
   * Ends the attendance handed over and starts the new one. 'conflict' unless every item is confirmed by the person
   * accepting, and when there is a newer handover.
   */
  accept(acceptance: { handoverId: string; attendance: NewAttendance }): Written
}

interface State {
  faultId: string
  attendanceId: string
  by: string
  newer: number
}

const stored = sql<[string], object>(`
  SELECT h.fault_id AS faultId, h.attendance_id AS attendanceId, h.by, h.next_step AS nextStep, h.words,
    (SELECT json_group_array(json_array(i.key, i.text)) FROM
      (SELECT key, text FROM handover_items WHERE handover_id = h.id ORDER BY place) i) AS list
  FROM handovers h WHERE h.id = ?`)
const insert = sql(`
  INSERT INTO handovers (id, fault_id, seq, attendance_id, at, by, next_step, words)
  VALUES (@id, @faultId, ${nextSeq('handovers', 'fault_id', '@faultId')}, @attendanceId,
    @at, @by, @nextStep, @words)`)
const insertItem = sql(
  'INSERT INTO handover_items (handover_id, key, place, text) VALUES (@handoverId, @key, @place, @text)',
)
const state = sql<[string], State>(`
  SELECT h.fault_id AS faultId, h.attendance_id AS attendanceId, h.by,
    EXISTS (SELECT 1 FROM handovers n WHERE n.fault_id = h.fault_id AND n.seq > h.seq) AS newer
  FROM handovers h WHERE h.id = ?`)
const item = sql<object, { confirmedBy: string | null }>(`
  SELECT p.name AS confirmedBy
  FROM handover_items i LEFT JOIN handover_confirmations c USING (handover_id, key) LEFT JOIN people p ON p.id = c.by
  WHERE i.handover_id = @handoverId AND i.key = @key`)
const storedConfirmation = sql<[string], object>(
  'SELECT handover_id AS handoverId, key, by FROM handover_confirmations WHERE id = ?',
)
const confirm = sql(`
  INSERT INTO handover_confirmations (id, handover_id, key, at, by) VALUES (@id, @handoverId, @key, @at, @by)`)
const unconfirmed = scalar<object, number>(`
  SELECT count(*) FROM handover_items i
  WHERE i.handover_id = @handoverId AND NOT EXISTS (SELECT 1 FROM handover_confirmations c
    WHERE c.handover_id = i.handover_id AND c.key = i.key AND c.by = @by)`)
const attendanceBegun = scalar<[string], string>('SELECT id FROM attendances WHERE handover_id = ?')

export function createHandovers(writer: Writer, attendances: Attendances): Handovers {
  const { db, write, once } = writer
  return {
    add: made => add(writer, attendances, made),

    confirm: made =>
      write(() =>
        once(storedConfirmation(db).get(made.id), made, () => confirmItem(writer, attendances, made)),
      ),

    accept: ({ handoverId, attendance }) =>
      write(() => {
        const handover = stateOf(db, handoverId)
        if (attendance.faultId !== handover.faultId)
          throw new AppError('conflict', 'This handover is of another fault.')
        if (attendanceBegun(db).get(handoverId) === undefined) {
          attendances.mustBeInHand(handover)
          mustBeAcceptable(db, { handoverId, handover, by: attendance.personId })
          attendances.end(handover.attendanceId, 'handed over', attendance.startedAt)
        }
        return attendances.start(attendance, handoverId)
      }),
  }
}

function add({ db, write, moment, once }: Writer, attendances: Attendances, made: NewHandover): Written {
  const list = JSON.stringify(made.items.map(({ key, text }) => [key, text]))
  const row = { ...made, items: null, list }
  return write(() =>
    once(stored(db).get(made.id), row, () => {
      attendances.mustBeInHand(made)
      insert(db).run({ ...row, at: moment(made.at) })
      for (const [place, { key, text }] of made.items.entries())
        insertItem(db).run({ handoverId: made.id, key, place, text })
    }),
  )
}

function confirmItem({ db, moment }: Writer, attendances: Attendances, made: NewConfirmation): void {
  const handover = stateOf(db, made.handoverId)
  attendances.mustBeInHand(handover)
  if (made.by === handover.by) throw new AppError('conflict', 'The incoming person confirms the items.')
  const confirmed = item(db).get(made)
  if (confirmed === undefined) throw new AppError('not found', 'There is no such item in this handover.')
  if (confirmed.confirmedBy !== null)
    throw new AppError('conflict', `${confirmed.confirmedBy} has confirmed this item.`)
  confirm(db).run({ ...made, at: moment(made.at) })
}

function mustBeAcceptable(
  db: Connection,
  { handoverId, handover, by }: { handoverId: string; handover: State; by: string },
): void {
  if (handover.newer) throw new AppError('conflict', 'There is a newer handover of this fault.')
  if (by === handover.by) throw new AppError('conflict', 'A fault is handed over to somebody else.')
  const left = unconfirmed(db).get({ handoverId, by }) ?? 0
  if (left > 0)
    throw new AppError('conflict', `${left} of the items are not confirmed by the person accepting.`)
}

function stateOf(db: Connection, id: string): State {
  const handover = state(db).get(id)
  if (handover === undefined) throw new AppError('not found', 'There is no such handover.')
  return handover
}
