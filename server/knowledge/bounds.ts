import { type Expectation, type Range, resolveConstant } from '../measurement/expectation.ts'

const known = new WeakMap<Expectation, Range | null>()

/**
 * The range of an expectation that needs no facts, in base units; null when it needs some or comes to nothing.
 * Worked out once for each expectation, as a band is asked for it at every reading.
 */
export function constantBounds(expectation: Expectation): Range | null {
  const before = known.get(expectation)
  if (before !== undefined) return before
  const range = resolveConstant(expectation)
  known.set(expectation, range)
  return range
}
