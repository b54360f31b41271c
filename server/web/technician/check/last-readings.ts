import { createObjectCache, memo } from '../../../cache.ts'
import type { Check } from '../../../knowledge/types.ts'
import { formatReading } from '../../../measurement/readings/reading.ts'
import type { LastReading } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import type { Mark } from '../../partials.ts'
import type { WalkInHand } from '../in-hand/fault-in-hand.ts'
import { verdictMark } from '../in-hand/found-words.ts'

export interface ShownReading {
  words: string
  mark: Mark
  at: string
  /** Null at this very position. */
  position: string | null
}

const MOST = 3

/** A page is looked at again and again: for a minute, and as long as nothing of its own record changes, it says the same. */
const cached = memo((_record: WalkInHand['record']) => createObjectCache<Check, ShownReading[]>(60_000))

/** The last readings of a check at a position and at its look-alikes, newest first; none where nothing is measured. */
export function lastReadings(deps: Deps, walk: WalkInHand, check: Check): ShownReading[] {
  if (check.does.kind !== 'measure') return []
  return cached(walk.record)(check, () => read(deps, walk.position.id, check), deps.clock().getTime())
}

function read(deps: Deps, positionId: string, check: Check): ShownReading[] {
  const { here, atLookAlikes } = deps.storage.lastReadings
  return [
    ...here(positionId, check.tree, check.slug, MOST).map(one => shown(one, null)),
    ...atLookAlikes(positionId, check.tree, check.slug, MOST).map(one => shown(one, one.positionName)),
  ]
}

function shown({ reading, verdict, at }: LastReading, position: string | null): ShownReading {
  return { words: formatReading(reading), mark: verdictMark(verdict), at, position }
}
