// Did the failure stay away since a moment at which something was done?

import type { Explained } from '../history/explained.ts'
import { gapsWithin, isKnown } from '../history/known.ts'
import { dayMs, type Service, serviceDays } from '../history/positions/exposure.ts'
import type { KindFit } from '../history/positions/kind-fit.ts'
import { type Spell, type Stayed, stayedAway } from '../history/positions/stayed-away.ts'
import type { History } from '../storage/storage.ts'
import { type Past, spansUpTo } from './past.ts'

const mostDaysBefore = 730

/** The time since, up to `nowMs`, against up to two years before it; of both only what is known. */
export function stayedSinceChange(
  history: History,
  position: Service & { id: string },
  changeMs: number,
  { past, nowMs, fit }: { past: Past; nowMs: number; fit: KindFit | null },
): Explained<Stayed | null> {
  const spans = spansUpTo(past, nowMs)
  const spell = (fromMs: number, toMs: number): Spell => {
    const window = { fromMs, toMs }
    const faults = history.ofPosition.faults(position.id, window).filter(({ atMs }) => isKnown(spans, atMs))
    const outages = gapsWithin(spans, window)
    return { faults: faults.length, serviceDays: serviceDays({ ...position, outages }, window) }
  }
  return stayedAway(
    spell(changeMs - mostDaysBefore * dayMs, changeMs),
    spell(changeMs, Math.max(nowMs, changeMs)),
    fit,
  )
}
