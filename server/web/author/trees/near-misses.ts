import type { NearMiss } from '../../../knowledge/wording.ts'

const mostChecks = 3

/** Names that may be one thing under two names, each with the checks where the rarer one stands. */
export function shownNearMisses(misses: NearMiss[]) {
  return misses.map(({ name, other, where }) => ({
    name,
    other,
    checks: where
      .slice(0, mostChecks)
      .map(place => place.check)
      .join(', '),
  }))
}
