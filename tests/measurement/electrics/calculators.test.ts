import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  fuseCheck,
  leadCorrection,
  loopResistance,
  spacingOfSpeed,
  speedOfSpacing,
  voltDrop,
} from '../../../server/measurement/electrics/calculators.ts'
import { Impossible } from '../../../server/measurement/readings/impossible.ts'
import { plain } from '../make.ts'

describe('a calculator', () => {
  it('shows the working of a loop resistance', () => {
    const sum = loopResistance({ length: 100, size: 1.5, temperature: 10 })
    expect(plain(sum.result)).toBe('at most 2.325 Ω')
    expect(sum.lines.map(plain)).toEqual([
      '2 × 100 m × 12.1 Ω/km × (234.5 + 10) ÷ 254.5 = 2.325 Ω',
      'The copper alone, at 1 ÷ 58 Ω·mm²/m, has 2.209 Ω.',
    ])
    expect(sum.source).toContain('IEC 60228')
  })

  it('shows the volts lost on a feeder and left at its end', () => {
    const sum = voltDrop({ supply: 110, current: 2, length: 400, size: 2.5, temperature: 20 })
    expect(plain(sum.result)).toBe('11.86 V lost, 98.14 V at the end')
    expect(sum.lines.map(plain)).toEqual([
      '2 A × 2 × 400 m × 7.41 Ω/km = 11.86 V',
      '110 V − 11.86 V = 98.14 V',
      'That is 10.8 % of the supply.',
    ])
    expect(() => voltDrop({ supply: 24, current: 20, length: 900, size: 0.5, temperature: 20 })).toThrow(
      'more than the supply',
    )
  })

  it('goes from spacing to speed and back', () => {
    expect(plain(speedOfSpacing({ spacing: 10.89, timer: 0.974 }).result)).toBe('25.01 mph (40.25 km/h)')
    expect(plain(spacingOfSpeed({ speed: 25, unit: 'mph', timer: 0.974 }).result)).toBe('10.89 m')
    const metres = fc.double({ min: 1, max: 60, noNaN: true })
    const timer = fc.double({ min: 0.2, max: 3, noNaN: true })
    fc.assert(
      fc.property(metres, timer, (spacing, seconds) => {
        const speed = speedOfSpacing({ spacing, timer: seconds }).value
        const back = spacingOfSpeed({ speed, unit: 'm/s', timer: seconds }).value
        expect(back).toBeCloseTo(spacing, 9)
      }),
      { seed: 18 },
    )
  })

  it('takes leads off, and says when they hide the answer', () => {
    const sum = leadCorrection({ measured: 0.35, leads: 0.31, resolution: 0.01 })
    expect(plain(sum.result)).toBe('0.04 Ω')
    expect(sum.advice).toContain('four wires')
    expect(leadCorrection({ measured: 5.3, leads: 0.3, resolution: 0.1 }).advice).toBeNull()
  })

  it('holds a load against its fuse', () => {
    const sum = fuseCheck({ rating: 2, load: 1.8, kind: 'gG' })
    expect(plain(sum.result)).toBe(
      '1.8 A is within the rated 2 A: this load does not blow the fuse, so look for what did.',
    )
    expect(sum.lines.map(plain)).toEqual([
      '2 A × 1.5 = 3 A carried for 1 hour',
      '2 A × 2.1 = 4.2 A blows it within 1 hour',
    ])
  })

  it.each([
    () => loopResistance({ length: 0, size: 1.5, temperature: 20 }),
    () => loopResistance({ length: 100, size: 3, temperature: 20 }),
    () => loopResistance({ length: 100, size: 1.5, temperature: -300 }),
    () => voltDrop({ supply: 0, current: 1, length: 1, size: 1, temperature: 20 }),
    () => voltDrop({ supply: 110, current: Number.NaN, length: 1, size: 1, temperature: 20 }),
    () => speedOfSpacing({ spacing: 10, timer: 0 }),
    () => spacingOfSpeed({ speed: -5, unit: 'mph', timer: 1 }),
    () => fuseCheck({ rating: 0, load: 1, kind: 'gG' }),
    () => fuseCheck({ rating: 20, load: 1, kind: 'miniature quick' }),
    () => fuseCheck({ rating: 2, load: Number.NaN, kind: 'gG' }),
  ])('refuses numbers that make no sense (%#)', sum => {
    expect(sum).toThrow(Impossible)
  })
})
