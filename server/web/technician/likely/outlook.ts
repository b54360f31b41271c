import { createObjectCache } from '../../../cache.ts'
import { type ExpectedTime, expectedTime } from '../../../diagnosis/ordering/expected-time.ts'
import {
  type NextCheck,
  type NextOptions,
  nextCheck,
  type Suggestion,
} from '../../../diagnosis/ordering/next-check.ts'
import type { CauseCounts } from '../../../diagnosis/ranking/cause-counts.ts'
import { type Ranking, rank } from '../../../diagnosis/ranking/rank.ts'
import { findCheck, refKey, refOf } from '../../../knowledge/graph.ts'
import type { Suggested } from '../../../storage/storage.ts'
import type { FaultRecord } from '../../../walk/record.ts'
import { held } from '../../../walk/stage.ts'
import type { Deps } from '../../deps.ts'
import { shownCaution } from '../../shown-caution.ts'
import type { FaultInHand } from '../in-hand/fault-in-hand.ts'

/** What it is most likely to be, what to check next, and when it may be back: each worked out when it is asked for. */
export interface Outlook {
  readonly ranking: Ranking
  readonly next: NextCheck | null
  readonly time: ExpectedTime | null
}

/** What goes on record of a suggestion. */
export type Offered = Pick<Suggestion, 'check' | 'saves'>

/** For so long the history is not looked at again, so that a suggestion stays from the page to its answer. */
const maxAgeMs = 10 * 60_000

const outlooks = createObjectCache<FaultRecord, Outlook>(maxAgeMs)

/** A record is never changed, only read anew, so what follows from it is worked out once. */
export function outlookOf(deps: Deps, fault: FaultInHand): Outlook {
  return outlooks(fault.record, () => lazyOutlook(deps, fault), deps.clock().getTime())
}

function lazyOutlook(deps: Deps, fault: FaultInHand): Outlook {
  const { knowledge, record } = fault
  const { tree, intermittent } = record.fault
  const options: NextOptions = { intermittent, hold: isHeld(fault), putBack: putBack(fault) }
  const ranking = once(() => rank(knowledge, tree, record.findings, historyOf(deps, fault), { intermittent }))
  const next = once(() => nextCheck(knowledge, tree, record.findings, ranking(), options))
  const time = once(() => expectedTime(knowledge, tree, record.findings, ranking(), options))
  return {
    get ranking() {
      return ranking()
    },
    get next() {
      return next()
    },
    get time() {
      return time()
    },
  }
}

function once<T>(work: () => T): () => T {
  let done: { value: T } | null = null
  return () => {
    done ??= { value: work() }
    return done.value
  }
}

/** The suggestion as it stands beside the check, or null: none where no check comes next, or the fault is closed. */
export function suggestionFor(fault: FaultInHand, { next }: Outlook): Suggestion | null {
  return fault.stage.kind === 'check' && !fault.record.closure ? (next?.suggestion ?? null) : null
}

/** A suggestion as a form carries it along, so that what is written is what the page showed: "tree#check 9.5". */
export function offerOf(suggestion: Suggestion | null): string | null {
  return suggestion && `${refKey(refOf(suggestion.check))} ${Math.round(suggestion.saves * 10) / 10}`
}

/** The suggestion a form carried along; null without one, or where it names no check of this edition. */
export function suggestionOffered({ knowledge }: FaultInHand, offered: string | undefined): Offered | null {
  const [, tree = '', name = '', minutes] = /^([^#\s]+)#(\S+) (\d{1,4}(?:\.\d)?)$/.exec(offered ?? '') ?? []
  const check = findCheck(knowledge, { tree, check: name })
  return check && { check, saves: Number(minutes) }
}

/** As the suggestion partial takes it, its cautions to be shown in full before it can be taken. */
export function shownSuggestion(suggestion: Suggestion | null) {
  return suggestion && { ...suggestion, cautions: suggestion.cautions.map(shownCaution) }
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
  suggestion: Offered,
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
function isHeld({ walk, record }: FaultInHand): boolean {
  const { protection } = record.fault
  return held(walk, record) !== null || (protection !== 'kept' && record.holdReleases.length === 0)
}

function putBack(fault: FaultInHand): string[] {
  return fault.disturbed.flatMap(item =>
    item.check && (item.state === 'restored' || item.state === 'never disturbed')
      ? [refKey(refOf(item.check))]
      : [],
  )
}
