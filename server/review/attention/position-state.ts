// What an engineer wants to know of a position that keeps failing, before opening its page.

import type { Explained } from '../../history/explained.ts'
import { groupBy } from '../../history/group-by.ts'
import { dayMs } from '../../history/positions/exposure.ts'
import type { Stayed } from '../../history/positions/stayed-away.ts'
import type { PositionFault } from '../../storage/history/history-position.ts'
import type { Review } from '../../storage/storage.ts'
import { cachedFigure } from '../figure-cache.ts'
import type { Core } from '../figures.ts'
import type { Offender } from '../offenders.ts'
import type { ReviewSource } from '../source.ts'
import { stayedSinceChange } from './stayed.ts'

export interface PositionState {
  offender: Offender
  /** Of the faults whose cause was found: the commonest, how many it had, and of how many. */
  mainCause: { cause: string; times: number; of: number } | null
  lastFaultMs: number | null
  /** The newest work on it, and whether faults came since. */
  changed: { atMs: number; action: string; faultsSince: number } | null
  stayed: Explained<Stayed | null> | null
  /** The day from which it was sure; null while it is not. */
  curedMs: number | null
  outOfServiceMs: number | null
  review: Review | null
  isNew: boolean
  /** Faults in which train protection was lost. */
  protectionLost: number
  /** Out of use and delay, of those faults only that are more than usual. */
  avoidableMinutes: number
}

type OnRecord = Omit<PositionState, 'review' | 'isNew'>

function stateOf(deps: ReviewSource, core: Core, offender: Offender): OnRecord {
  const { history } = deps.storage
  const { position, compared } = offender
  const nowMs = deps.clock().getTime()
  const window = { fromMs: core.past.window.fromMs, toMs: nowMs }
  const faults = history.ofPosition.faults(position.id, window)
  const work = history.ofPosition.work(position.id, window).at(-1)
  const stayed =
    work === undefined
      ? null
      : stayedSinceChange(history, position, work.atMs, { past: core.past, nowMs, fit: compared.fit })
  const needed = stayed?.terms.find(term => term.name === 'days needed')?.value
  const isCured = stayed?.value === 'stayed away' && work !== undefined && typeof needed === 'number'
  return {
    offender,
    mainCause: mainCause(faults),
    lastFaultMs: faults.at(-1)?.atMs ?? null,
    changed:
      work === undefined ? null : { ...work, faultsSince: faults.filter(one => one.atMs > work.atMs).length },
    stayed,
    curedMs: isCured ? work.atMs + needed * dayMs : null,
    outOfServiceMs: position.outOfServiceMs,
    protectionLost: faults.filter(one => one.protection === 'lost').length,
    avoidableMinutes: avoidable(deps, faults, offender),
  }
}

const mostLookedInto = 24

/**
 * Of all that stand out, those least likely by luck, the costliest first. What is on record of each is cached; its
 * review stands as it is now. `query`: the window's; `known`: those that stood out a week ago, null where that was
 * not worked out.
 */
export function statesOf(
  deps: ReviewSource,
  core: Core,
  query: string,
  { reviews, known }: { reviews: readonly Review[]; known: ReadonlySet<string> | null },
): PositionState[] {
  const onRecord = cachedFigure(deps, `states ${query}`, () =>
    core.offenders.out.slice(0, mostLookedInto).map(offender => stateOf(deps, core, offender)),
  )
  return onRecord
    .map(state => {
      const { id } = state.offender.position
      const review = reviews.find(one => one.positionId === id) ?? null
      return { ...state, review, isNew: known !== null && !known.has(id) }
    })
    .sort(costliestFirst)
}

/** Most protection lost first, then most minutes that could be saved, then the least likely by luck. */
function costliestFirst(a: PositionState, b: PositionState): number {
  return (
    b.protectionLost - a.protectionLost ||
    b.avoidableMinutes - a.avoidableMinutes ||
    a.offender.compared.adjusted - b.offender.compared.adjusted
  )
}

function mainCause(faults: readonly PositionFault[]): PositionState['mainCause'] {
  const found = faults.flatMap(({ cause }) => (cause === null ? [] : [cause]))
  const [most] = [...groupBy(found, cause => cause)].sort(([, a], [, b]) => b.length - a.length)
  return most === undefined ? null : { cause: most[0], times: most[1].length, of: found.length }
}

function avoidable(
  { storage }: ReviewSource,
  faults: readonly PositionFault[],
  { compared }: Offender,
): number {
  const minutes = faults.reduce((sum, fault) => {
    const outOfUse = fault.closedMs === null ? 0 : Math.max(0, fault.closedMs - fault.atMs) / 60_000
    return sum + outOfUse + (storage.delays.find(fault.id) ?? 0)
  }, 0)
  const more = Math.max(0, compared.faults - (compared.expected ?? 0))
  return compared.faults === 0 ? 0 : (minutes * more) / compared.faults
}
