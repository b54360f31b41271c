// The closed faults of a database, as the diagnosis counts them.

import type { PastFault } from '../../server/diagnosis/ranking/cause-counts.ts'
import type { Database } from '../../server/storage/engine/database.ts'
import type { Storage } from '../../server/storage/storage.ts'

/** Every closed fault; those that ended without a cause have none. */
export function pastFaults(storage: Storage, db: Database): PastFault[] {
  const ids = db.prepare<[], string>('SELECT fault_id FROM closures ORDER BY at').pluck().all()
  return ids.map(id => {
    const { fault, closure, conditions } = storage.faults.get(id)
    const position = storage.positions.get(fault.positionId)
    const fitted = storage.units.historyOfPosition(position.id).filter(fitting => {
      const gone = fitting.removedAt !== null && fitting.removedAt <= fault.reportedAt
      return fitting.fittedAt <= fault.reportedAt && !gone
    })
    return {
      id,
      tree: fault.tree,
      equipment: position.equipment,
      siteId: position.siteId,
      positionId: position.id,
      cause: closure?.cause ?? null,
      reportedAt: fault.reportedAt,
      units: fitted.map(fitting => `${fitting.kind} ${fitting.serial}`),
      conditions: Object.fromEntries(conditions.map(({ name, value }) => [name, value])),
    }
  })
}
