// Did the failure stay away since a moment at which something was done?

import type { Window } from '../../history/basis.ts'
import type { Explained } from '../../history/explained.ts'
import { gapsWithin, isKnown } from '../../history/known.ts'
import { dayMs, type Service, serviceDays } from '../../history/positions/exposure.ts'
import type { KindFit } from '../../history/positions/kind-fit.ts'
import { type Spell, type Stayed, stayedAway } from '../../history/positions/stayed-away.ts'
import type { History } from '../../storage/storage.ts'
import { type Past, spansUpTo } from '../past.ts'

const mostDaysBefore = 730
/** From so many faults on there is a run to speak of, and the quiet time before it is no part of the trouble. */
const fewestOfRun = 3

/**
 * The time since, up to `nowMs`, against the trouble before it: from the first fault of up to two years before, that
 * one not counted, as time counted from a fault begins with one. Of both only what is known.
 */
export function stayedSinceChange(
  history: History,
  position: Service & { id: string },
  changeMs: number,
  { past, nowMs, fit }: { past: Past; nowMs: number; fit: KindFit | null },
): Explained<Stayed | null> {
  const spans = spansUpTo(past, nowMs)
  const faultsOf = (window: Window) =>
    history.ofPosition.faults(position.id, window).filter(({ atMs }) => isKnown(spans, atMs))
  const daysOf = (window: Window) => serviceDays({ ...position, outages: gapsWithin(spans, window) }, window)
  const earlier = { fromMs: changeMs - mostDaysBefore * dayMs, toMs: changeMs }
  const since = { fromMs: changeMs, toMs: Math.max(nowMs, changeMs) }
  const before = faultsOf(earlier)
  const [first] = before
  const isRun = first !== undefined && before.length >= fewestOfRun
  const spell: Spell = isRun
    ? { faults: before.length - 1, serviceDays: daysOf({ ...earlier, fromMs: first.atMs }) }
    : { faults: before.length, serviceDays: daysOf(earlier) }
  return stayedAway(spell, { faults: faultsOf(since).length, serviceDays: daysOf(since) }, fit)
}
