import type { CauseCounts } from '../../diagnosis/cause-counts.ts'
import { type ExpectedTime, expectedTime } from '../../diagnosis/expected-time.ts'
import { type NextCheck, type NextOptions, nextCheck, type Suggestion } from '../../diagnosis/next-check.ts'
import { type Ranking, rank } from '../../diagnosis/rank.ts'
import { refKey, refOf } from '../../knowledge/graph.ts'
import type { Suggested } from '../../storage/storage.ts'
import { held } from '../../walk/hold.ts'
import type { FaultRecord } from '../../walk/record.ts'
import type { Deps } from '../deps.ts'
import type { FaultInHand } from './fault-in-hand.ts'

/** What it is most likely to be, what to check next, and when it may be back. */
export interface Outlook {
  ranking: Ranking
  next: NextCheck | null
  time: ExpectedTime | null
  history: CauseCounts
}

/** Kept with the record it was worked out from, for as long as the depot's history stays fresh enough. */
const outlooks = new WeakMap<FaultRecord, { outlook: Outlook; at: number }>()
const FRESH_MS = 5 * 60_000

export function outlookOf(deps: Deps, fault: FaultInHand): Outlook {
  const now = deps.clock().getTime()
  const known = outlooks.get(fault.record)
  if (known && Math.abs(now - known.at) < FRESH_MS) return known.outlook
  const outlook = workOut(deps, fault)
  outlooks.set(fault.record, { outlook, at: now })
  return outlook
}

function workOut(deps: Deps, fault: FaultInHand): Outlook {
  const { knowledge, record } = fault
  const { tree, intermittent } = record.fault
  const history = historyOf(deps, fault)
  const ranking = rank(knowledge, tree, record.findings, history, { intermittent })
  const options: NextOptions = { intermittent, hold: isHeld(fault), putBack: putBack(fault) }
  return {
    ranking,
    next: nextCheck(knowledge, tree, record.findings, ranking, options),
    time: expectedTime(knowledge, tree, record.findings, ranking, options),
    history,
  }
}

export function historyOf(deps: Deps, fault: FaultInHand): CauseCounts {
  const { record, position } = fault
  return deps.storage.pastFaults.countsFor({
    id: record.fault.id,
    tree: record.fault.tree,
    equipment: position.equipment,
    siteId: position.siteId,
    positionId: position.id,
    reportedAt: record.fault.reportedAt,
    units: position.fitted.map(unit => `${unit.kind} ${unit.serial}`),
    conditions: Object.fromEntries(record.conditions.map(one => [one.name, one.value])),
  })
}

/** For the record: the suggestion that stood, and whether it was followed. */
export function suggestedBy(
  fault: FaultInHand,
  findingId: string,
  suggestion: Suggestion,
  followed: boolean,
): Suggested {
  return {
    faultId: fault.record.fault.id,
    findingId,
    check: refOf(suggestion.check),
    saves: suggestion.saves,
    followed,
  }
}

/** Would a check that disturbs be stopped now? */
function isHeld({ knowledge, walk, record }: FaultInHand): boolean {
  const { protection } = record.fault
  return held(knowledge, walk, record) !== null || (protection !== 'kept' && record.holdReleases.length === 0)
}

function putBack(fault: FaultInHand): string[] {
  return fault.disturbed.flatMap(item =>
    item.check && (item.state === 'restored' || item.state === 'never disturbed')
      ? [refKey(refOf(item.check))]
      : [],
  )
}
