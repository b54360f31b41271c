import type { FaultSummary } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import type { FaultInHand } from '../in-hand/fault-in-hand.ts'

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

/** A rule of the depot that makes this fault a repeat, in words: "again within 28 days: 2 of the same symptom". */
export interface RepeatHere {
  rule: string
  words: string
}

const mostLookedAt = 200

/** The rules this fault is a repeat by: the same symptom at the same position, so many within so many days. */
export function repeatsHere(deps: Deps, { record, position }: FaultInHand): RepeatHere[] {
  const { id, tree, reportedAt } = record.fault
  const times = deps.storage.faults
    .listByPosition(position.id, mostLookedAt)
    .filter(fault => fault.tree === tree && (fault.id === id || fault.reportedAt <= reportedAt))
    .map(fault => Date.parse(fault.reportedAt))
  const now = Date.parse(reportedAt)
  return deps.storage.reviewSettings.repeatWindows().flatMap(({ name, days, faults }) => {
    const within = times.filter(time => now - time <= days * 86_400_000).length
    if (within < faults) return []
    return [{ rule: name, words: `${within} with this symptom here in ${days} days, this one among them` }]
  })
}
