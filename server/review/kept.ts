// Figures that take a look at the whole history are kept for a while: a hundred times as long as they took, so that
// looking again costs next to nothing. Each carries the moment it was worked out, and the page says it.

import type { ReviewSource } from './source.ts'

const times = 100
const most = 24

interface Kept {
  value: unknown
  atMs: number
  untilMs: number
}

const keptOf = new WeakMap<ReviewSource, Map<string, Kept>>()

/** The figure of that name, worked out anew when it is stale. `keepMs`: kept at least so long. */
export function kept<T>(deps: ReviewSource, name: string, make: (asAtMs: number) => T, keepMs = 0): T {
  const all = keptOf.get(deps) ?? new Map<string, Kept>()
  keptOf.set(deps, all)
  const nowMs = deps.clock().getTime()
  const known = all.get(name)
  if (known !== undefined && nowMs >= known.atMs && nowMs < known.untilMs) return known.value as T
  const began = performance.now()
  const value = make(nowMs)
  all.delete(name)
  all.set(name, {
    value,
    atMs: nowMs,
    untilMs: nowMs + Math.max(keepMs, times * (performance.now() - began)),
  })
  for (const key of all.keys()) if (all.size > most) all.delete(key)
  return value
}

/** The figure of that name while it holds, else null. */
export function keptFresh<T>(deps: ReviewSource, name: string): T | null {
  const known = keptOf.get(deps)?.get(name)
  return known !== undefined && deps.clock().getTime() < known.untilMs ? (known.value as T) : null
}
