import { describe, expect, it } from 'vitest'
import { createNamedCache, createObjectCache, memo } from '../server/cache.ts'

describe('a cache by object', () => {
  it('makes a value once for each object, also where it is null', () => {
    let made = 0
    const doubled = memo((one: { size: number }) => {
      made += 1
      return one.size > 1 ? one.size * 2 : null
    })
    const [two, none] = [{ size: 2 }, { size: 0 }]
    expect([doubled(two), doubled(two), doubled(none), doubled(none)]).toEqual([4, 4, null, null])
    expect(made).toBe(2)
    expect(doubled({ size: 2 })).toBe(4)
    expect(made).toBe(3)
  })

  it('makes it anew once it is too old', () => {
    const cache = createObjectCache<object, number>(100)
    const about = {}
    let made = 0
    const at = (nowMs: number) => cache(about, () => ++made, nowMs)
    expect([at(1000), at(1099), at(1100), at(1150)]).toEqual([1, 1, 2, 2])
  })
})

describe('a cache by name', () => {
  let now = 0
  const create = () => createNamedCache<number>({ maxEntries: 2, maxAgeMs: 100, now: () => now })

  it('drops the oldest when there are too many; an entry set again is the newest', () => {
    const cache = create()
    cache.set('a', 1)
    cache.set('b', 2)
    cache.set('a', 3)
    cache.set('c', 4)
    expect([cache.get('a'), cache.get('b'), cache.get('c')]).toEqual([3, undefined, 4])
    cache.delete('a')
    expect(cache.get('a')).toBeUndefined()
  })

  it('drops what is too old, by the age of the cache or of the entry, and what a clock put back left in the future', () => {
    const cache = create()
    now = 1000
    cache.set('usual', 1)
    cache.set('short', 2, 10)
    now = 1009
    expect([cache.get('usual'), cache.get('short')]).toEqual([1, 2])
    now = 1010
    expect([cache.get('usual'), cache.get('short')]).toEqual([1, undefined])
    now = 1100
    expect(cache.get('usual')).toBeUndefined()
    cache.set('usual', 3)
    now = 1099
    expect(cache.get('usual')).toBeUndefined()
  })
})
