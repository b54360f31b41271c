// The caches of the program outside storage, whose rows have one of their own. None has a timer: an entry that is too
// old goes when the cache is next used.

/** By the object a value is about: an entry goes with its object, or after `maxAgeMs`. */
export type ObjectCache<K extends object, V> = (about: K, make: () => V, nowMs?: number) => V

export function createObjectCache<K extends object, V>(
  maxAgeMs = Number.POSITIVE_INFINITY,
): ObjectCache<K, V> {
  const entries = new WeakMap<K, { value: V; untilMs: number }>()
  return (about, make, nowMs = 0) => {
    const entry = entries.get(about)
    if (entry && nowMs < entry.untilMs) return entry.value
    const value = make()
    entries.set(about, { value, untilMs: nowMs + maxAgeMs })
    return value
  }
}

/** Caches the results of a pure function by its argument, for as long as the argument lives. */
export function memo<K extends object, V>(work: (about: K) => V): (about: K) => V {
  const cache = createObjectCache<K, V>()
  return about => cache(about, () => work(about))
}

/** By a name, with at most so many entries: the oldest goes first. */
export interface NamedCache<V> {
  /** Undefined where there is none, or it is too old. */
  get(name: string): V | undefined
  /** `maxAgeMs`: of this entry, where it has an age of its own. */
  set(name: string, value: V, maxAgeMs?: number): void
  delete(name: string): void
}

export function createNamedCache<V>(options: {
  maxEntries: number
  maxAgeMs?: number
  /** Of all entries together; the newest stays, however large. */
  maxBytes?: number
  bytesOf?: (value: V) => number
  /** In milliseconds. A clock put back makes what was stored later too old as well. */
  now: () => number
}): NamedCache<V> {
  const { maxEntries, maxAgeMs = Number.POSITIVE_INFINITY, now } = options
  const { maxBytes = Number.POSITIVE_INFINITY, bytesOf = () => 0 } = options
  const entries = new Map<string, { value: V; fromMs: number; untilMs: number }>()

  function prune(): void {
    const nowMs = now()
    for (const [name, { fromMs, untilMs }] of entries)
      if (nowMs < fromMs || nowMs >= untilMs) entries.delete(name)
  }

  function isFull(): boolean {
    let bytes = 0
    for (const { value } of entries.values()) bytes += bytesOf(value)
    return entries.size > maxEntries || (entries.size > 1 && bytes > maxBytes)
  }

  return {
    get(name) {
      prune()
      return entries.get(name)?.value
    },
    set(name, value, ageMs = maxAgeMs) {
      prune()
      entries.delete(name)
      const fromMs = now()
      entries.set(name, { value, fromMs, untilMs: fromMs + ageMs })
      for (const oldest of entries.keys()) if (isFull()) entries.delete(oldest)
    },
    delete: name => void entries.delete(name),
  }
}
