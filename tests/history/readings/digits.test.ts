import { describe, expect, it } from 'vitest'
import { lastDigits, pileUp } from '../../../server/history/readings/reading-habits.ts'
import { seeded } from '../chance.ts'

const random = seeded(5)
const honest = Array.from({ length: 2000 }, () => ({
  value: Number((108 + 4 * random.normal()).toFixed(1)),
  resolution: 0.1,
}))
const heaped = honest.map((r, i) => (i % 4 === 0 ? { value: Math.round(r.value), resolution: 0.1 } : r))

describe('last digits', () => {
  it('show heaping where a quarter of the readings were rounded', () => {
    const found = lastDigits(heaped)
    expect(found.value?.chance).toBeLessThan(1e-6)
    expect(found.value?.roundShare).toBeGreaterThan(0.3)
    expect(found.value?.counts.reduce((a, b) => a + b, 0)).toBe(2000)
    expect(found.words).toContain('end in 0 or 5 where 20 % would be usual')
  })

  it('show none in honest readings', () => expect(lastDigits(honest).value?.chance).toBeGreaterThan(0.01))

  it('cannot be judged from few readings or from readings close together', () => {
    expect(lastDigits(honest.slice(0, 40)).value).toBeNull()
    expect(lastDigits(honest.map(r => ({ ...r, value: 100 + (r.value - 108) / 40 }))).words).toContain(
      'too close together',
    )
  })

  it('are taken from the count, not from binary fractions', () => {
    const exact = Array.from({ length: 100 }, (_, i) => ({ value: i / 10, resolution: 0.1 }))
    expect(lastDigits(exact).value?.counts).toEqual(Array(10).fill(10))
  })
})

describe('pile-up just inside a limit', () => {
  const values = honest.map(r => r.value)
  const nudged = values.map(v => (v > 112 && v < 112.6 ? 111.9 : v))

  it('is seen where readings were nudged inside', () => {
    expect(pileUp(nudged, { value: 112, side: 'max' }, 0.1).value?.chance).toBeLessThan(1e-4)
  })

  it('is not seen in honest readings, on either side', () => {
    expect(pileUp(values, { value: 112, side: 'max' }, 0.1).value?.chance).toBeGreaterThan(0.01)
    expect(pileUp(values, { value: 104, side: 'min' }, 0.1).value?.chance).toBeGreaterThan(0.01)
  })

  // Honest readings with their peak in the strip just inside, which a third was taken for too few.
  it.each([4, 6, 8, 12, 25])(
    'is not seen in honest readings that peak there, spread by %d counts',
    spread => {
      const random = seeded(57)
      const fired = Array.from({ length: 600 }, () => {
        const values = Array.from({ length: 60 }, () => (1098 + spread * random.normal()) / 10)
        const rounded = values.map(value => Number(value.toFixed(1)))
        return pileUp(rounded, { value: 110, side: 'max' }, 0.1).value?.chance ?? 1
      }).filter(chance => chance < 0.05)
      // 5 % of 600 and three standard deviations.
      expect(fired.length / 600).toBeLessThan(0.077)
    },
  )

  it('counts a reading on the limit as inside', () => {
    const on = pileUp(Array(12).fill(112), { value: 112, side: 'max' }, 0.1)
    expect(on.value).toMatchObject({ justInside: 12, outside: 0 })
  })

  it('needs readings near the limit', () =>
    expect(pileUp([50, 60], { value: 112, side: 'max' }, 0.1).value).toBeNull())
})
