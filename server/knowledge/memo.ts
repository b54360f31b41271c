/** Caches the results of a pure function by its argument, weakly: an entry goes when its object does. */
export function memo<K extends object, V>(work: (about: K) => V): (about: K) => V {
  const cache = new WeakMap<K, { value: V }>()
  return about => {
    const cached = cache.get(about)
    if (cached) return cached.value
    const value = work(about)
    cache.set(about, { value })
    return value
  }
}
