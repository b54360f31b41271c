import { AppError } from '../../errors.ts'
import type { Handover } from '../../walk/record.ts'
import { type Connection, nextSeq, scalar, sql } from '../engine/sql.ts'
import type { New, Writer, Written } from '../engine/writer.ts'
import type { Appends, Attendances, NewAttendance } from './attendances.ts'

export type NewHandover = New<Omit<Handover, 'items' | 'acceptedAt' | 'acceptedBy' | 'withdrawnAt'>> & {
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
  /**
   * Takes the fault back: from then on the handover is void. 'conflict' unless it is the newest, by this person, and nobody
   * has taken the fault over.
   */
  withdraw(withdrawal: { id: string; handoverId: string; by: string; at?: string }): Written
  /** 'conflict' when it is by the person handing over, the item is confirmed by somebody else, or it was taken back. */
  confirm(confirmation: NewConfirmation): Written
  /**
   * Ends the attendance handed over and starts the new one. 'conflict' unless every item is confirmed by the person
   * accepting, and when there is a newer handover or it was taken back.
   */
  accept(acceptance: { handoverId: string; attendance: NewAttendance }): Written
}

interface State {
  faultId: string
  attendanceId: string
  by: string
  byName: string
  newer: number
  withdrawn: number
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
  SELECT h.fault_id AS faultId, h.attendance_id AS attendanceId, h.by, p.name AS byName,
    EXISTS (SELECT 1 FROM handovers n WHERE n.fault_id = h.fault_id AND n.seq > h.seq) AS newer,
    EXISTS (SELECT 1 FROM handover_withdrawals w WHERE w.handover_id = h.id) AS withdrawn
  FROM handovers h JOIN people p ON p.id = h.by WHERE h.id = ?`)
const item = sql<object, { confirmedBy: string | null }>(`
  SELECT p.name AS confirmedBy
  FROM handover_items i LEFT JOIN handover_confirmations c USING (handover_id, key) LEFT JOIN people p ON p.id = c.by
  WHERE i.handover_id = @handoverId AND i.key = @key`)
const storedConfirmation = sql<[string], object>(
  'SELECT handover_id AS handoverId, key, by FROM handover_confirmations WHERE id = ?',
)
const confirm = sql(`
  INSERT INTO handover_confirmations (id, handover_id, key, at, by) VALUES (@id, @handoverId, @key, @at, @by)`)
const storedWithdrawal = sql<[string], object>(
  'SELECT handover_id AS handoverId, by FROM handover_withdrawals WHERE id = ?',
)
const insertWithdrawal = sql(
  'INSERT INTO handover_withdrawals (id, handover_id, at, by) VALUES (@id, @handoverId, @at, @by)',
)
const unconfirmed = scalar<object, number>(`
  SELECT count(*) FROM handover_items i
  WHERE i.handover_id = @handoverId AND NOT EXISTS (SELECT 1 FROM handover_confirmations c
    WHERE c.handover_id = i.handover_id AND c.key = i.key AND c.by = @by)`)
const attendanceBegun = scalar<[string], string>('SELECT id FROM attendances WHERE handover_id = ?')

export function createHandovers(writer: Writer, attendances: Attendances): Handovers {
  const { db, write, once } = writer
  return {
    add: made => add(writer, attendances, made),

    withdraw: made =>
      write(() => once(storedWithdrawal(db).get(made.id), made, () => withdraw(writer, attendances, made))),

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
          attendances.mustBeHeld(handover)
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
      // A newer one may correct one that waits.
      attendances.mustBeHeld(made)
      insert(db).run({ ...row, at: moment(made.at) })
      for (const [place, { key, text }] of made.items.entries())
        insertItem(db).run({ handoverId: made.id, key, place, text })
    }),
  )
}

function withdraw(
  { db, moment }: Writer,
  attendances: Attendances,
  made: { id: string; handoverId: string; by: string; at?: string },
): void {
  const handover = stateOf(db, made.handoverId)
  attendances.mustBeHeld({ ...handover, by: made.by })
  mustStand(handover)
  insertWithdrawal(db).run({ ...made, at: moment(made.at) })
}

/** Nothing newer was written, and it was not taken back. */
function mustStand({ newer, withdrawn, byName }: State): void {
  if (newer) throw new AppError('conflict', 'There is a newer handover of this fault.')
  if (withdrawn) throw new AppError('conflict', `${byName} has taken this fault back.`)
}

function confirmItem({ db, moment }: Writer, attendances: Attendances, made: NewConfirmation): void {
  const handover = stateOf(db, made.handoverId)
  attendances.mustBeHeld(handover)
  mustStand(handover)
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
  mustStand(handover)
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
