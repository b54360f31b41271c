import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { nearestTone, type Tone } from '../../../server/measurement/electrics/tones.ts'
import { Impossible } from '../../../server/measurement/readings/impossible.ts'
import { plain } from '../make.ts'

describe('the nearest tone', () => {
  // An invented plan: two directions, three tones each.
  const plan: Tone[] = [
    ...([60, 61, 62] as const).map((kHz, index) => tone(`n${index + 1}`, kHz * 1000, 'normal')),
    ...([60.5, 61.5, 62.5] as const).map((kHz, index) => tone(`o${index + 1}`, kHz * 1000, 'opposite')),
  ]

  it('comes with its margin', () => {
    const found = nearestTone(60_040, plan, 'normal')
    expect(found).toMatchObject({
      tone: { name: 'n1' },
      off: 40,
      margin: 210,
      next: { name: 'o1' },
      warning: null,
    })
    expect(plain(found.because)).toBe(
      '60.04 kHz is 40 Hz above n1 (60.00 kHz, arming, normal direction); 210 Hz more and it could be o1.',
    )
  })

  it('warns of a unit for the opposite direction', () => {
    expect(plain(nearestTone(61_480, plan, 'normal').warning)).toContain(
      'looks like an opposite-direction unit',
    )
  })

  it('is always the nearest, with a margin of zero or more', () => {
    fc.assert(
      fc.property(fc.integer({ min: 59_000, max: 64_000 }), frequency => {
        const found = nearestTone(frequency, plan)
        for (const other of plan)
          expect(Math.abs(found.off)).toBeLessThanOrEqual(Math.abs(frequency - other.frequency))
        expect(found.margin).toBeGreaterThanOrEqual(0)
      }),
      { seed: 19 },
    )
  })

  it('needs a plan and a frequency', () => {
    expect(() => nearestTone(60_000, [])).toThrow(Impossible)
    expect(() => nearestTone(0, plan)).toThrow(Impossible)
  })
})

function tone(name: string, frequency: number, direction: string): Tone {
  return { name, frequency, direction, purpose: 'arming' }
}
