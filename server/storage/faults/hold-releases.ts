import { AppError } from '../../errors.ts'
import type { HoldRelease } from '../../walk/record.ts'
import { inForce } from '../engine/in-force.ts'
import { nextSeq, sql } from '../engine/sql.ts'
import type { New, Writer } from '../engine/writer.ts'
import { type Appends, closed } from './attendances.ts'

export type NewHoldRelease = New<HoldRelease>

const stored = sql<[string], object>('SELECT fault_id AS faultId, by, reason FROM hold_releases WHERE id = ?')
const state = sql<[string], { closed: number }>(`
  SELECT EXISTS (SELECT 1 FROM closures WHERE fault_id = f.id) AS closed FROM faults f
  WHERE f.id = ? AND ${inForce('faults', 'f.id')}`)
const insert = sql(`
  INSERT INTO hold_releases (id, fault_id, seq, at, by, reason)
  VALUES (@id, @faultId, ${nextSeq('hold_releases', 'fault_id', '@faultId')}, @at, @by,
    @reason)`)

/** Given by an engineer, who need not have the fault in hand. */
export function createHoldReleases({ db, write, moment, once }: Writer): Appends<NewHoldRelease> {
  return {
    add: made =>
      write(() =>
        once(stored(db).get(made.id), made, () => {
          const fault = state(db).get(made.faultId)
          if (fault === undefined) throw new AppError('not found', 'There is no such fault.')
          if (fault.closed) throw closed()
          insert(db).run({ ...made, at: moment(made.at) })
        }),
      ),
  }
}
