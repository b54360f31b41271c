import { isEvidence } from '../../../walk/stage.ts'
import type { Deps } from '../../deps.ts'
import type { FaultInHand } from '../in-hand/fault-in-hand.ts'
import { outlookOf } from '../likely/outlook.ts'

/** When it may be back, for the report to the signaller. */
export interface BackBy {
  /** "03:40" and "04:25", with the day where it is not today. */
  likely: string
  ninety: string
}

/** null once the fault is closed, while evidence is or will be held, and on a round, where nothing is waited for. */
export function backBy(deps: Deps, fault: FaultInHand): BackBy | null {
  if (fault.record.closure || isEvidence(fault.record) || fault.tree.kind === 'round') return null
  const { time } = outlookOf(deps, fault)
  if (!time) return null
  const now = deps.clock().getTime()
  return { likely: at(time.toHandBack.median), ninety: at(time.toHandBack.ninety) }

  function at(minutes: number): string {
    const iso = new Date(now + minutes * 60_000).toISOString()
    const today = deps.times.day(new Date(now).toISOString()) === deps.times.day(iso)
    return today ? deps.times.clock(iso) : deps.times.moment(iso)
  }
}
