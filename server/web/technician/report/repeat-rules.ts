import type { Deps } from '../../deps.ts'
import type { FaultInHand } from '../attend/fault-in-hand.ts'

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
