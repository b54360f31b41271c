// Handlers' dependencies for one act that was done without signal: the time it was done, the edition it was done on, and
// the record as the tablet knew it.

import { clockOfActs } from '../../storage/engine/acting.ts'
import { type Holder, knownTo } from '../../walk/known.ts'
import type { Deps } from '../deps.ts'

export interface LateView extends Holder {
  /** The edition in use on the tablet; null where the tablet did not say. */
  edition: string | null
}

export function lateDeps(deps: Deps, view: LateView): Deps {
  const { storage, library } = deps
  const { faults, publications } = storage
  return {
    ...deps,
    clock: clockOfActs(deps.clock),
    library: {
      ...library,
      current: () => (view.edition === null ? null : library.edition(view.edition)) ?? library.current(),
    },
    storage: {
      ...storage,
      faults: { ...faults, get: id => knownTo(faults.get(id), view) },
      // A tree may be withdrawn while somebody walks it without signal.
      publications: { ...publications, withdrawnTrees: () => [] },
    },
  }
}
