import { AppError } from '../../errors.ts'
import type { Handover } from '../../walk/record.ts'
import type { Appends } from '../engine/append.ts'
import type { New, Writer, Written } from '../engine/writer.ts'
import type { Attendances, NewAttendance } from './attendances.ts'

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

export function createHandovers(writer: Writer, attendances: Attendances): Handovers {
  const { db, write, moment, once } = writer
  const known = db.prepare<[string], object>(`
    SELECT h.fault_id AS faultId, h.attendance_id AS attendanceId, h.by, h.next_step AS nextStep, h.words,
      (SELECT json_group_array(json_array(i.key, i.text)) FROM
        (SELECT key, text FROM handover_items WHERE handover_id = h.id ORDER BY place) i) AS list
    FROM handovers h WHERE h.id = ?`)
  const insert = db.prepare(`
    INSERT INTO handovers (id, fault_id, seq, attendance_id, at, by, next_step, words)
    VALUES (@id, @faultId, (SELECT coalesce(max(seq), 0) + 1 FROM handovers WHERE fault_id = @faultId), @attendanceId,
      @at, @by, @nextStep, @words)`)
  const insertItem = db.prepare(
    'INSERT INTO handover_items (handover_id, key, place, text) VALUES (@handoverId, @key, @place, @text)',
  )
  const state = db.prepare<[string], State>(`
    SELECT h.fault_id AS faultId, h.attendance_id AS attendanceId, h.by,
      EXISTS (SELECT 1 FROM handovers n WHERE n.fault_id = h.fault_id AND n.seq > h.seq) AS newer
    FROM handovers h WHERE h.id = ?`)
  const item = db.prepare<object, { confirmedBy: string | null }>(`
    SELECT p.name AS confirmedBy
    FROM handover_items i LEFT JOIN handover_confirmations c USING (handover_id, key) LEFT JOIN people p ON p.id = c.by
    WHERE i.handover_id = @handoverId AND i.key = @key`)
  const knownConfirmation = db.prepare<[string], object>(
    'SELECT handover_id AS handoverId, key, by FROM handover_confirmations WHERE id = ?',
  )
  const confirm = db.prepare(`
    INSERT INTO handover_confirmations (id, handover_id, key, at, by) VALUES (@id, @handoverId, @key, @at, @by)`)
  const unconfirmed = db
    .prepare<object, number>(`
    SELECT count(*) FROM handover_items i
    WHERE i.handover_id = @handoverId AND NOT EXISTS (SELECT 1 FROM handover_confirmations c
      WHERE c.handover_id = i.handover_id AND c.key = i.key AND c.by = @by)`)
    .pluck()
  const attendanceBegun = db
    .prepare<[string], string>('SELECT id FROM attendances WHERE handover_id = ?')
    .pluck()

  function stateOf(id: string): State {
    const found = state.get(id)
    if (found === undefined) throw new AppError('not found', 'There is no such handover.')
    return found
  }

  function mayBeAccepted(handoverId: string, handover: State, by: string): void {
    attendances.mustBeInHand(handover)
    if (handover.newer) throw new AppError('conflict', 'There is a newer handover of this fault.')
    if (by === handover.by) throw new AppError('conflict', 'A fault is handed over to somebody else.')
    const left = unconfirmed.get({ handoverId, by }) ?? 0
    if (left > 0)
      throw new AppError('conflict', `${left} of the items are not confirmed by the person accepting.`)
  }

  return {
    add(made) {
      const row = {
        ...made,
        items: null,
        list: JSON.stringify(made.items.map(({ key, text }) => [key, text])),
      }
      return write(() =>
        once(known.get(made.id), row, () => {
          attendances.mustBeInHand(made)
          insert.run({ ...row, at: moment(made.at) })
          made.items.forEach(
            ({ key, text }, place) => void insertItem.run({ handoverId: made.id, key, place, text }),
          )
        }),
      )
    },

    confirm: made =>
      write(() =>
        once(knownConfirmation.get(made.id), made, () => {
          const handover = stateOf(made.handoverId)
          attendances.mustBeInHand(handover)
          if (made.by === handover.by)
            throw new AppError('conflict', 'The incoming person confirms the items.')
          const found = item.get(made)
          if (found === undefined) throw new AppError('not found', 'There is no such item in this handover.')
          if (found.confirmedBy !== null)
            throw new AppError('conflict', `${found.confirmedBy} has confirmed this item.`)
          confirm.run({ ...made, at: moment(made.at) })
        }),
      ),

    accept: ({ handoverId, attendance }) =>
      write(() => {
        const handover = stateOf(handoverId)
        if (attendance.faultId !== handover.faultId)
          throw new AppError('conflict', 'This handover is of another fault.')
        if (attendanceBegun.get(handoverId) === undefined) {
          mayBeAccepted(handoverId, handover, attendance.personId)
          attendances.end(handover.attendanceId, 'handed over', attendance.startedAt)
        }
        return attendances.start(attendance, handoverId)
      }),
  }
}
