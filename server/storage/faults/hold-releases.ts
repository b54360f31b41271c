import { AppError } from '../../errors.ts'
import type { HoldRelease } from '../../walk/record.ts'
import { inForce } from '../engine/in-force.ts'
import { type Connection, nextSeq, sql } from '../engine/sql.ts'
import type { New, Writer } from '../engine/writer.ts'
import { letInBy } from '../people/let-in.ts'
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

const attended = sql<[string], { id: string; name: string }>(`
  SELECT DISTINCT p.id, p.name FROM attendances a JOIN people p ON p.id = a.person_id WHERE a.fault_id = ?`)

/**
 * Given by an engineer who does not have the fault in hand: 'forbidden' for somebody who attended it, or who is in on the
 * word of somebody who did.
 */
export function createHoldReleases({ db, write, moment, once }: Writer): Appends<NewHoldRelease> {
  return {
    add: made =>
      write(() =>
        once(stored(db).get(made.id), made, () => {
          const fault = state(db).get(made.faultId)
          if (fault === undefined) throw new AppError('not found', 'There is no such fault.')
          if (fault.closed) throw closed()
          mustBeIndependent(db, made)
          insert(db).run({ ...made, at: moment(made.at) })
        }),
      ),
  }
}

function mustBeIndependent(db: Connection, { faultId, by }: NewHoldRelease): void {
  const all = letInBy(db, by)
  for (const { id, name } of attended(db).all(faultId)) {
    if (id === by)
      throw new AppError('forbidden', 'You attended this fault. Another engineer must release it.')
    if (all.has(id))
      throw new AppError(
        'forbidden',
        `You are in on the word of ${name}, who attended this fault. An engineer whom ${name} has not let in must release it.`,
      )
  }
}
