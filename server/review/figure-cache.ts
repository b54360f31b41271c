// Cache for figures that read the whole history. Each stays for a hundred times as long as it took to work
// out, so that working it out again costs at most one part in a hundred. Each carries the moment it was
// worked out, shown on the page.

import type { ReviewSource } from './source.ts'

const cacheForTimesCost = 100
const maxEntries = 24

interface Entry {
  value: unknown
  atMs: number
  untilMs: number
}

const caches = new WeakMap<ReviewSource, Map<string, Entry>>()

/**
 * The figure of that name from the cache, or worked out by
 * `make` (given the moment, ms) when it is absent or stale.
 */
export function cachedFigure<T>(deps: ReviewSource, name: string, make: (asAtMs: number) => T): T {
  const cache = caches.get(deps) ?? new Map<string, Entry>()
  caches.set(deps, cache)
  const nowMs = deps.clock().getTime()
  const entry = cache.get(name)
  if (entry !== undefined && nowMs >= entry.atMs && nowMs < entry.untilMs) return entry.value as T
  const began = performance.now()
  const value = make(nowMs)
  const costMs = performance.now() - began
  cache.delete(name)
  cache.set(name, { value, atMs: nowMs, untilMs: nowMs + cacheForTimesCost * costMs })
  for (const oldest of cache.keys()) if (cache.size > maxEntries) cache.delete(oldest)
  return value
}

/** The figure of that name where the cache still holds it, else null. */
export function figureIfCached<T>(deps: ReviewSource, name: string): T | null {
  const entry = caches.get(deps)?.get(name)
  return entry !== undefined && deps.clock().getTime() < entry.untilMs ? (entry.value as T) : null
}
