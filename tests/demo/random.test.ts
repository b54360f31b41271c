import { describe, expect, it } from 'vitest'
import { createRandom } from '../../server/statistics/random.ts'

// Values computed with the generator's published reference form (mulberry32, Tommy Ettinger, public domain; value
// from memory) written out here once more; common practice for the rest, no published source.

describe('chance', () => {
  it('is mulberry32 over the FNV-1a hash of the seed', () => {
    const random = createRandom('')
    let state = 0x811c9dc5
    for (let i = 0; i < 100; i++) {
      state = (state + 0x6d2b79f5) >>> 0
      let t = state
      t = Math.imul(t ^ (t >>> 15), t | 1)
      t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
      expect(random.unit()).toBe(((t ^ (t >>> 14)) >>> 0) / 4294967296)
    }
  })

  it('is the same for the same seed only', () => {
    const draw = (seed: string) => Array.from({ length: 5 }, createRandom(seed).unit)
    expect(draw('a')).toEqual(draw('a'))
    expect(draw('a')).not.toEqual(draw('b'))
  })

  it('picks by weight', () => {
    const random = createRandom('weights')
    const picks = Array.from({ length: 4000 }, () => random.weighted([1, 3, 0], weight => weight))
    expect(picks).not.toContain(0)
    const threes = picks.filter(pick => pick === 3).length
    // 3000 expected, standard deviation √(4000 × ¾ × ¼) ≈ 27.4 (computed); five of them are let pass.
    expect(Math.abs(threes - 3000)).toBeLessThan(137)
  })

  it('keeps whole numbers within their ends and reaches both', () => {
    const random = createRandom('ends')
    const drawn = new Set(Array.from({ length: 200 }, () => random.whole(2, 4)))
    expect([...drawn].sort()).toEqual([2, 3, 4])
  })

  it('shuffles without losing anything', () => {
    const list = [1, 2, 3, 4, 5]
    expect(createRandom('x').shuffled(list).sort()).toEqual(list)
  })

  it('throws when there is nothing to pick from', () => {
    expect(() => createRandom('x').pick([])).toThrow('nothing to pick')
  })
})
