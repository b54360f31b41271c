import type { FaultSummary } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'

/** What must be seen before work starts: the position's latest faults, the open ones first. */
export interface PositionHistory {
  open: FaultSummary[]
  closed: FaultSummary[]
  /** Other open faults at the same site: they may share a supply or a cable. */
  nearby: FaultSummary[]
}

/** `except` is the fault in hand, which is not its own history. */
export function attendancesBefore(deps: Deps, positionId: string, except: string | null): PositionHistory {
  const position = deps.storage.positions.get(positionId)
  const here = deps.storage.faults.listByPosition(positionId, 12).filter(fault => fault.id !== except)
  const nearby = deps.storage.faults
    .listOpen()
    .filter(fault => fault.siteId === position.siteId && fault.positionId !== positionId)
  return {
    open: here.filter(fault => fault.closedAt === null),
    closed: here.filter(fault => fault.closedAt !== null).slice(0, 6),
    nearby,
  }
}
