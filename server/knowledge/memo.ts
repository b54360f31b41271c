/** The answers of a pure function, each worked out once for the object it is about and forgotten with it. */
export function memo<K extends object, V>(work: (about: K) => V): (about: K) => V {
  const known = new WeakMap<K, { value: V }>()
  return about => {
    const before = known.get(about)
    if (before) return before.value
    const value = work(about)
    known.set(about, { value })
    return value
  }
}
