// What is missing at this depot, by what it costs: for Coverage and the first steps.

import { createNamedCache, memo } from '../cache.ts'
import type { Weighed } from '../review/apart/worth-of-missing.ts'
import type { Deps } from './deps.ts'

export interface MissingHere {
  /** What costs most first; null while it is worked out, or when it could not be. */
  list: Weighed[] | null
  failed: boolean
  /** When the last fault that it rests on was looked up, ms. */
  asAtMs: number
  /** Closed faults that the mix is taken from; with none, every tree counts alike. */
  faults: number
}

const mostFaults = 2000
const mostPositions = 2000
const maxAgeMs = 6 * 3_600_000

/** By the edition in use, and no other. */
const cacheOf = memo(({ clock }: Deps) =>
  createNamedCache<MissingHere>({ maxEntries: 1, maxAgeMs, now: () => clock().getTime() }),
)

/** Never waits: begun when first asked for, and there when asked again. Begun anew after six hours or when it failed. */
export function missingHere(deps: Deps): MissingHere {
  const edition = deps.library.current().id
  const cached = cacheOf(deps).get(edition)
  if (cached && !cached.failed) return cached
  const past = deps.storage.pastFaults.latest(mostFaults)
  const asAtMs = deps.clock().getTime()
  const here: MissingHere = { list: null, failed: false, asAtMs, faults: past.length }
  cacheOf(deps).set(edition, here)
  const asked = {
    ...{ past, files: deps.storage.editions.files(edition) },
    instruments: deps.storage.instruments.list().filter(({ active }) => active),
    positions: deps.storage.positions
      .search('', mostPositions)
      .map(({ equipment, facts }) => ({ equipment, facts })),
  }
  deps.host.weighMissing(asked, list => {
    Object.assign(here, { list, failed: list === null })
    if (list === null) deps.log.error('what is missing could not be weighed')
  })
  return here
}
