// Cache for figures that read the whole history. Each stays for a hundred times as long as it took to work
// out, so that working it out again costs at most one part in a hundred. Each carries the moment it was
// worked out, shown on the page.

import { createNamedCache, memo } from '../cache.ts'
import type { ReviewSource } from './source.ts'

const cacheForTimesCost = 100
const maxEntries = 24

const cacheOf = memo(({ clock }: ReviewSource) =>
  createNamedCache<{ figure: unknown }>({ maxEntries, now: () => clock().getTime() }),
)

/**
 * The figure of that name from the cache, or worked out by
 * `make` (given the moment, ms) when it is absent or stale.
 */
export function cachedFigure<T>(deps: ReviewSource, name: string, make: (asAtMs: number) => T): T {
  const cached = figureIfCached<T>(deps, name)
  if (cached !== null) return cached
  const began = performance.now()
  const figure = make(deps.clock().getTime())
  const costMs = performance.now() - began
  cacheOf(deps).set(name, { figure }, cacheForTimesCost * costMs)
  return figure
}

/** The figure of that name where the cache still holds it, else null. */
export function figureIfCached<T>(deps: ReviewSource, name: string): T | null {
  return (cacheOf(deps).get(name)?.figure as T | undefined) ?? null
}
