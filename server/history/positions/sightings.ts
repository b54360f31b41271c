// What was seen of positions whose failure is not indicated, as stretches from one sight of it working to the next sight.

import type { Window } from '../basis.ts'
import { groupBy } from '../group-by.ts'
import { dayMs } from './exposure.ts'

/** A moment at which somebody could say whether a position worked. */
export interface Sighting {
  positionId: string
  atMs: number
  /** `put right`: a fault there was closed as repaired, or as nothing found. */
  what: 'working' | 'dead on a round' | 'dead between rounds' | 'put right'
}

/** From when it was seen working, or put right, to when somebody looked next. */
export interface Look {
  days: number
  found: 'working' | 'dead on a round' | 'dead between rounds'
}

/**
 * Looks that begin and end in the window. One that begins before it takes no part: had it ended early, with a
 * fault before the window, it would not be seen, so that those left would look too healthy. After a fault
 * nothing is counted until all faults there are put right, or a round sees it working: it stands dead, and
 * what is dead cannot fail. Nor is anything counted before a position's first round: until then only faults are
 * on record, and it is never seen working. Nor is one that reaches over a gap in the record of faults, in which it may
 * have failed and been put right. `sightings` in order of time.
 */
export function looksOf(
  sightings: readonly Sighting[],
  window: Window,
  gaps: readonly Window[] = [],
): Look[] {
  return [...groupBy(sightings, one => one.positionId).values()].flatMap(own => looksAtOne(own, window, gaps))
}

function looksAtOne(
  sightings: readonly Sighting[],
  { fromMs, toMs }: Window,
  gaps: readonly Window[],
): Look[] {
  const looks: Look[] = []
  let worksSinceMs: number | null = null
  let hasRounds = false
  let open = 0
  for (const { atMs, what } of sightings) {
    if (what === 'put right') {
      open = Math.max(0, open - 1)
      worksSinceMs = hasRounds && open === 0 ? atMs : null
      continue
    }
    const inside = worksSinceMs !== null && worksSinceMs >= fromMs && atMs < toMs
    const known = gaps.every(gap => gap.toMs <= (worksSinceMs ?? atMs) || gap.fromMs >= atMs)
    if (inside && known && worksSinceMs !== null && atMs > worksSinceMs)
      looks.push({ days: (atMs - worksSinceMs) / dayMs, found: what })
    hasRounds ||= what !== 'dead between rounds'
    open = what === 'working' ? 0 : open + 1
    worksSinceMs = what === 'working' ? atMs : null
  }
  return looks
}
