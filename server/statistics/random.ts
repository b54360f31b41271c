// Chance that can be had again: the same seed gives the same railway on every machine.

export interface Random {
  /** 0 up to 1. */
  unit(): number
  between(low: number, high: number): number
  /** Both ends included. */
  whole(low: number, high: number): number
  chance(probability: number): boolean
  /** Throws when the list is empty. */
  pick<T>(list: readonly T[]): T
  /** `weight` gives each item's share; all zero counts as all the same. Throws when the list is empty. */
  weighted<T>(list: readonly T[], weight: (item: T) => number): T
  /** Standard normal. */
  normal(): number
  shuffled<T>(list: readonly T[]): T[]
}

/** mulberry32 (Tommy Ettinger, public domain), its state set from the words of `seed` by FNV-1a. */
export function createRandom(seed: string): Random {
  let state = fnv1a(seed)

  function unit(): number {
    state = (state + 0x6d2b79f5) | 0
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32
  }
  const between = (low: number, high: number) => low + (high - low) * unit()
  const whole = (low: number, high: number) => Math.floor(between(low, high + 1))

  return {
    unit,
    between,
    whole,
    chance: probability => unit() < probability,
    pick: list => at(list, whole(0, list.length - 1)),
    weighted(list, weight) {
      const total = list.reduce((sum, item) => sum + weight(item), 0)
      let left = unit() * total
      const index = list.findIndex(item => {
        left -= weight(item)
        return left < 0
      })
      return at(list, Math.max(0, index))
    },
    normal: () => Math.sqrt(-2 * Math.log(1 - unit())) * Math.cos(2 * Math.PI * unit()),
    shuffled: list =>
      list
        .map(item => ({ item, order: unit() }))
        .sort((a, b) => a.order - b.order)
        .map(({ item }) => item),
  }
}

function at<T>(list: readonly T[], index: number): T {
  const item = list[index]
  if (item === undefined) throw new Error('There is nothing to pick from.')
  return item
}

function fnv1a(text: string): number {
  let hash = 0x811c9dc5
  for (const character of text) hash = Math.imul(hash ^ (character.codePointAt(0) ?? 0), 0x01000193)
  return hash >>> 0
}
