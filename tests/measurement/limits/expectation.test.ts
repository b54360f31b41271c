import { describe, expect, it } from 'vitest'
import {
  checkDimensions,
  contains,
  type Expectation,
  expectationUnit,
  isConstant,
  namesOf,
  parseExpectation,
  resolveConstant,
} from '../../../server/measurement/limits/expectation.ts'
import { plain } from '../make.ts'

const facts = new Map([
  ['Cable length', 'm'],
  ['conductor', 'mm²'],
  ['temperature', '°C'],
  ['radius', 'mm'],
  ['frequency', 'kHz'],
  ['supply', 'V AC'],
  ['drive', 'A'],
  ['direction', 'choice'],
  ['reading of feeder to case', 'ohm'],
])

describe('a limit as an author writes it', () => {
  it.each([
    ['99 to 121 V AC', undefined, 99, 121, 'V AC', '99 to 121 V AC'],
    ['99 V AC to 0.121 kV AC', undefined, 99, 121, 'V AC', '0.099 to 0.121 kV AC'],
    ['99 to 121', 'V AC', 99, 121, 'V AC', '99 to 121 V AC'],
    ['99 to 121 V', 'V AC', 99, 121, 'V AC', '99 to 121 V AC'],
    ['110 V AC ± 10 %', undefined, 99, 121, 'V AC', '99 to 121 V AC'],
    ['110 V AC +/- 10 %', undefined, 99, 121, 'V AC', '99 to 121 V AC'],
    ['110 ± 10 %', 'V AC', 99, 121, 'V AC', '99 to 121 V AC'],
    ['110 ± 5.5 V AC', undefined, 104.5, 115.5, 'V AC', '104.5 to 115.5 V AC'],
    // +10 % −6 % of 110 V: 103.4 to 121.0 V (the shape of the statutory low-voltage supply, value from memory).
    ['110 V AC +10 % −6 %', undefined, 103.4, 121, 'V AC', '103.4 to 121 V AC'],
    ['110 V AC +10/−6 %', undefined, 103.4, 121, 'V AC', '103.4 to 121 V AC'],
    ['at most 0.5 ohm', undefined, null, 0.5, 'ohm', 'at most 0.5 Ω'],
    ['At most 500 mΩ', undefined, null, 0.5, 'ohm', 'at most 500 mΩ'],
    ['at least 1 Mohm', undefined, 1e6, null, 'ohm', 'at least 1 MΩ'],
    ['≥ 1', 'Mohm', 1e6, null, 'ohm', 'at least 1 MΩ'],
    ['below 10 V AC', undefined, null, 10, 'V AC', 'below 10 V AC'],
    ['above 50 ohm', undefined, 50, null, 'ohm', 'above 50 Ω'],
    ['-10 to 40 °C', undefined, -10, 40, '°C', '−10 to 40 °C'],
    ['20 °C ± 5', undefined, 15, 25, '°C', '15 to 25 °C'],
    ['20 ± 5 °C', undefined, 15, 25, '°C', '15 to 25 °C'],
    ['65.25 kHz ± 50 Hz', undefined, 65_200, 65_300, 'Hz', '65.2 to 65.3 kHz'],
    ['2 × 3 to 10 ohm', undefined, 6, 10, 'ohm', '6 to 10 Ω'],
    ['0 to 5 A', undefined, 0, 5, 'A', '0 to 5 A'],
  ])('"%s" (%s) is understood', (text, unit, min, max, base, shown) => {
    const range = resolveConstant(parsed(text, unit))
    expect(range).toMatchObject({ min, max, unit: base, floor: null })
    expect(plain(range?.text)).toBe(shown)
  })

  it.each([
    ['110', undefined, 'A to B'],
    ['99 to 121', undefined, 'a number with a unit'],
    ['99 to 121 V', undefined, 'V AC or V DC'],
    ['5 A to 6 A', 'V AC', 'voltage AC'],
    ['99–121 V AC', undefined, 'A to B'],
    ['110 V AC ±', undefined, 'A ± B'],
    ['110 V AC ± -5', undefined, 'a number above zero'],
    ['99 to 121 volts sideways', undefined, 'a sign'],
    ['', undefined, 'A to B'],
    ['at most', undefined, 'A to B'],
    ['1 to 2 furlong', undefined, 'a unit'],
    ['1 to 2', 'furlong', 'a known unit'],
    ['at most 0x10 V AC', undefined, 'a number in figures'],
    ['at most 1e-400 V AC', undefined, 'ordinary size'],
    ['at most 1e400 V AC', undefined, 'ordinary size'],
    ['at most 1234567890123 V AC', undefined, '12 digits at most'],
    ['at most 5 k', undefined, 'a unit'],
  ])('"%s" (%s) is told what was expected', (text, unit, expected) => {
    const result = parseExpectation(text, unit)
    if (result.ok) throw new Error('it was taken')
    expect(result.problem.expected).toContain(expected)
    expect(result.problem.mend).not.toBe('')
  })

  it('leaves the bound out of a band that says below or above', () => {
    const below = resolveConstant(parsed('below 10 V AC'))
    const most = resolveConstant(parsed('at most 10 V AC'))
    if (!below || !most) throw new Error('no range')
    expect([contains(below, 9.99), contains(below, 10), contains(most, 10)]).toEqual([true, false, true])
  })

  it('finds the "to" between two names that have one of their own', () => {
    const limit = parsed('1 ohm to reading of feeder to case')
    expect(namesOf(limit)).toEqual(['reading of feeder to case'])
    expect(checkDimensions(limit, facts)).toEqual([])
  })

  it('comes to nothing below the coldest there is', () => {
    expect(resolveConstant(parsed('-300 °C to 20 °C'))).toBeNull()
    expect(resolveConstant(parsed('-273.15 °C to 20 °C'))).toMatchObject({ min: -273.15 })
  })

  it('is constant when it needs no fact', () => {
    expect(isConstant(parsed('at most 0.5 ohm'))).toBe(true)
    expect(isConstant(parsed('at most pair resistance(100 m, 1.5 mm², 20 °C, class 5)'))).toBe(true)
    expect(isConstant(parsed('at most cable length × 0.1 ohm/km'))).toBe(false)
    expect(resolveConstant(parsed('at most cable length × 0.1 ohm/km'))).toBeNull()
  })
})

describe('dimensions', () => {
  it.each([
    ['2 × cable length × resistance per length(conductor, temperature) ± 15 %', 'ohm'],
    ['pair resistance(cable length, conductor, temperature, class 5 tinned) ± 15 %', 'ohm'],
    ['loop reactance(2 m, 1 m, radius, frequency) ± 10 %', 'ohm AC'],
    ['pair resistance(cable length, conductor) × ac resistance ratio(conductor, frequency) ± 10 %', 'ohm AC'],
    ['supply ÷ drive ± 10 %', 'ohm AC'],
    ['temperature + 5 K to 80 °C', '°C'],
    ['supply − feeder volt drop(drive, cable length, conductor, temperature) to supply', 'V AC'],
    ['at most reading of feeder to case × 120 %', 'ohm'],
    ['at most drive × 2', 'A'],
  ])('of "%s" fit', (text, unit) => {
    const limit = parsed(text)
    expect(checkDimensions(limit, facts)).toEqual([])
    expect(expectationUnit(limit, facts)).toBe(unit)
  })

  it.each([
    ['loop reactance(2 m, 1 m, radius, frequency) ± 10 %', 'ohm', 'a quantity in Ω AC', 'a quantity in Ω'],
    ['supply ± 10 %', 'V DC', 'a quantity in V AC', 'a quantity in V DC'],
    ['at most cable length', 'ohm', 'a quantity in m', 'a quantity in Ω'],
    ['at most supply + drive', 'V AC', 'a quantity in V AC + a quantity in A', 'same kind'],
    ['temperature + temperature to 50 °C', '°C', '°C + a quantity in °C', 'difference in K'],
    ['at most temperature × 2', '°C', '°C × a plain number', 'difference in K'],
    ['at most direction', 'ohm', 'a word', 'a number'],
    ['20 °C ± 10 %', '°C', 'a share of a temperature', 'a difference in K'],
    ['at most drive × direction', 'A', 'a word on one side of ×', 'quantities'],
    ['at most pair resistance(conductor, cable length)', 'ohm', 'as the length of pair resistance', 'in m'],
    [
      'at most pair resistance(cable length)',
      'ohm',
      'with 1 in its parentheses',
      'pair resistance(length in m',
    ],
    [
      'at most pair resistance(cable length, conductor, temperature, drive)',
      'ohm',
      'as the class',
      'class 5',
    ],
    ['110 V AC ± drive', 'V AC', 'a quantity in A', 'a quantity in V AC'],
    [
      'at most feeder volt drop(drive, cable length, conductor)',
      undefined,
      'a quantity in V',
      'V AC or V DC',
    ],
  ])('of "%s" in %s do not', (text, unit, found, expected) => {
    const [problem] = checkDimensions(parsed(text, unit), facts)
    expect(problem?.found).toContain(found)
    expect(problem?.expected).toContain(expected)
  })

  it('hint at the nearest name', () => {
    const hint = (text: string) => checkDimensions(parsed(text, 'm'), facts)[0]?.hint
    expect(hint('at most cable lenght')).toBe('cable length')
    expect(hint('at most CABLE  LENGTH')).toBeUndefined()
    expect(hint('at most pair resistence(cable length, conductor)')).toBe('pair resistance')
    expect(hint('at most wibble')).toBeNull()
  })
})

function parsed(text: string, unit?: string): Expectation {
  const result = parseExpectation(text, unit)
  if (!result.ok) throw new Error(`${text}: ${result.problem.found}, expected ${result.problem.expected}`)
  return result.expectation
}
