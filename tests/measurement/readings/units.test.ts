import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { formatIn, formatQuantity, formatRange } from '../../../server/measurement/readings/format.ts'
import {
  allUnits,
  convert,
  findUnit,
  fromBase,
  nearestUnit,
  toBase,
} from '../../../server/measurement/readings/units.ts'
import { plain, range } from '../make.ts'

describe('a unit', () => {
  it('is found under every usual spelling', () => {
    const spellings = ['ohm', 'Ω', '\u2126', 'ohms', 'R', 'OHM', ' ohm ']
    expect(spellings.map(symbol => findUnit(symbol)?.symbol)).toEqual(spellings.map(() => 'ohm'))
    expect(['V AC', 'VAC', 'Vac', 'V a.c.', 'v ac'].map(symbol => findUnit(symbol)?.symbol)).toEqual(
      Array(5).fill('V AC'),
    )
    expect(['µA', 'uA', 'μA'].map(symbol => findUnit(symbol)?.symbol)).toEqual(Array(3).fill('µA'))
    expect(['mm²', 'mm2', 'sq mm'].map(symbol => findUnit(symbol)?.symbol)).toEqual(Array(3).fill('mm²'))
    expect(findUnit('°C')?.symbol).toBe('°C')
    expect(findUnit('deg C')?.symbol).toBe('°C')
  })

  it('tells milli from mega in every spelling', () => {
    for (const spelling of ['mohm', 'mΩ', 'm ohm', 'mOHM', 'milliohm'])
      expect(findUnit(spelling)?.factor).toBe(1e-3)
    for (const spelling of ['Mohm', 'MΩ', 'M ohm', 'MOHM', 'megohm', 'megaohm'])
      expect(findUnit(spelling)?.factor).toBe(1e6)
    expect(findUnit('MV AC')).toBeNull()
    expect(findUnit('MA')).toBeNull()
  })

  it('keeps AC from DC, and a temperature from a difference of temperatures', () => {
    expect(findUnit('V AC')?.base).not.toBe(findUnit('V DC')?.base)
    expect(findUnit('V')?.base).toBe('V')
    expect(findUnit('°C')?.base).not.toBe(findUnit('K')?.base)
    expect(() => convert(1, 'V AC', 'V DC')).toThrow(RangeError)
    expect(() => convert(20, '°C', 'K')).toThrow(RangeError)
  })

  it('is null when unknown, with the nearest for a hint', () => {
    expect(findUnit('furlong')).toBeNull()
    expect(findUnit('')).toBeNull()
    expect(findUnit('constructor')).toBeNull()
    expect(nearestUnit('ohmm')?.symbol).toBe('ohm')
    expect(nearestUnit('kHx')?.symbol).toBe('kHz')
    expect(nearestUnit('furlongs per fortnight')).toBeNull()
  })

  it('finds itself again by its symbol and by what is shown', () => {
    for (const unit of allUnits()) {
      expect(findUnit(unit.symbol)).toBe(unit)
      if (unit.shown !== '') expect(findUnit(unit.shown)).toBe(unit)
    }
  })

  it('survives the way to its base and back', () => {
    const anyUnit = fc.constantFrom(...allUnits())
    const number = fc.oneof(fc.constant(0), fc.double({ min: 1e-9, max: 1e9, noNaN: true }))
    fc.assert(
      fc.property(anyUnit, number, (unit, size) => {
        for (const value of [size, -size]) {
          const there = fromBase(toBase(value, unit), unit)
          expect(Math.abs(there - value)).toBeLessThanOrEqual(size * 1e-14)
        }
      }),
      { seed: 3 },
    )
    expect(toBase(80.3, findUnit('mohm') ?? missing())).toBe(0.0803)
    expect(toBase(0.3, findUnit('kohm') ?? missing())).toBe(300)
  })
})

describe('a number on a page', () => {
  it('has the digits of the meter, a real minus and a no-break space', () => {
    expect(formatQuantity(96, 'V AC', 0.1)).toBe('96.0\u00a0V\u00a0AC')
    expect(formatQuantity(-0.2, 'V DC', 0.1)).toBe('−0.2\u00a0V\u00a0DC')
    expect(formatQuantity(-0.04, 'V DC', 0.1)).toBe('−40\u00a0mV\u00a0DC')
    expect(formatIn(-0.04, 'V DC', 'V DC', 0.1)).toBe('0.0\u00a0V\u00a0DC')
    expect(formatQuantity(-0, 'V DC')).toBe('0\u00a0V\u00a0DC')
  })

  it('takes the prefix that reads best', () => {
    const shown = ([value, unit]: [number, string]) => plain(formatQuantity(value, unit))
    const cases: [number, string][] = [
      [0.08, 'ohm'],
      [0.5, 'ohm'],
      [12_000, 'ohm'],
      [2.2e6, 'ohm'],
      [65_250, 'Hz'],
      [4.907e-6, 'H'],
      [1.5e-6, 'm²'],
      [26.8224, 'm/s'],
      [0.974, 's'],
      [1500, 'kohm'],
      [0, 'ohm'],
    ]
    expect(cases.map(shown)).toEqual([
      '80 mΩ',
      '0.5 Ω',
      '12 kΩ',
      '2.2 MΩ',
      '65.25 kHz',
      '4.907 µH',
      '1.5 mm²',
      '26.82 m/s',
      '0.974 s',
      '1.5 MΩ',
      '0 Ω',
    ])
  })

  it('never shows NaN or infinity', () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])
      expect(formatQuantity(value, 'ohm')).toBe('–\u00a0Ω')
  })

  it('reads back as the same number to the digits shown', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-6, max: 1e9, noNaN: true }), value => {
        const [number, symbol] = plain(formatQuantity(value, 'ohm')).split(' ')
        const back = convert(Number(number), symbol ?? '', 'ohm')
        expect(Math.abs(back / value - 1)).toBeLessThanOrEqual(0.0005001)
      }),
      { seed: 4 },
    )
  })

  it('shows ranges in the author’s unit', () => {
    expect(plain(formatRange(range(99, 121, 'V AC')))).toBe('99 to 121 V AC')
    expect(plain(formatRange(range(null, 0.5, 'ohm')))).toBe('at most 0.5 Ω')
    expect(plain(formatRange(range(1e6, null, 'ohm', { shown: 'Mohm' })))).toBe('at least 1 MΩ')
    expect(plain(formatRange(range(null, 10, 'V AC', { strict: true })))).toBe('below 10 V AC')
    expect(plain(formatRange(range(10, null, 'V AC', { strict: true })))).toBe('above 10 V AC')
    expect(plain(formatRange(range(65_250, 65_750, 'Hz', { shown: 'kHz' })))).toBe('65.25 to 65.75 kHz')
  })
})

function missing(): never {
  throw new Error('a unit is missing')
}
