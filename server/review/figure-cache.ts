// Cache for figures that read the whole history. Each stays for a hundred times as long as it took to work
// out, so that working it out again costs at most one part in a hundred; one that is quick is worked out again
// as soon as a fault is closed. Each carries the moment it was worked out, shown on the page.

import { createNamedCache, memo } from '../cache.ts'
import type { ReviewSource } from './source.ts'

const cacheForTimesCost = 100
const quickMs = 150
const maxEntries = 24

interface Entry {
  figure: unknown
  costMs: number
  /** Of the record it was worked out from. */
  version: string
}

const cacheOf = memo(({ clock }: ReviewSource) =>
  createNamedCache<Entry>({ maxEntries, now: () => clock().getTime() }),
)

/**
 * The figure of that name from the cache, or worked out by
 * `make` (given the moment, ms) when it is absent or stale.
 */
export function cachedFigure<T>(deps: ReviewSource, name: string, make: (asAtMs: number) => T): T {
  const version = deps.storage.knownSpans.version()
  const cached = cacheOf(deps).get(name)
  if (cached !== undefined && (cached.version === version || cached.costMs > quickMs))
    return cached.figure as T
  const began = performance.now()
  const figure = make(deps.clock().getTime())
  const costMs = performance.now() - began
  cacheOf(deps).set(name, { figure, costMs, version }, cacheForTimesCost * costMs)
  return figure
}

/** The figure of that name where the cache still holds it, else null. */
export function figureIfCached<T>(deps: ReviewSource, name: string): T | null {
  return (cacheOf(deps).get(name)?.figure as T | undefined) ?? null
}

/** Whether a fault was closed, a file came in or something was said of what is known since a figure was worked out. */
export function isBehind(deps: ReviewSource, name: string): boolean {
  const cached = cacheOf(deps).get(name)
  return cached !== undefined && cached.version !== deps.storage.knownSpans.version()
}
