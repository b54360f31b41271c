import convertUnits from 'convert-units'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { convert } from '../../server/measurement/readings/units.ts'

describe('conversions', () => {
  // convert-units (general library): our symbol and theirs.
  const pairs = [
    ['mph', 'm/h', 'km/h', 'km/h'],
    ['mph', 'm/h', 'm/s', 'm/s'],
    ['yd', 'yd', 'm', 'm'],
    ['ft', 'ft', 'mm', 'mm'],
    ['in', 'in', 'cm', 'cm'],
    ['mile', 'mi', 'km', 'km'],
    ['mm²', 'mm2', 'm²', 'm2'],
    ['min', 'min', 's', 's'],
    ['h', 'h', 'min', 'min'],
    ['ms', 'ms', 's', 's'],
    ['kHz', 'kHz', 'Hz', 'Hz'],
    ['mA', 'mA', 'A', 'A'],
  ] as const

  it.each(pairs)('from %s (%s) to %s (%s) agree with a general library', (from, theirs, to, theirTo) => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 1e6, noNaN: true }), number => {
        // Theirs keeps some factors to six digits only.
        const reference = convertUnits(number).from(theirs).to(theirTo)
        expect(Math.abs(convert(number, from, to) / reference - 1)).toBeLessThan(5e-5)
      }),
      { seed: 2, numRuns: 50 },
    )
  })

  it('are exact where the definition is', () => {
    // International yard and pound agreement of 1959: 1 yd = 0.9144 m; 1 mile = 1760 yd (value from memory).
    expect(convert(1, 'mph', 'm/s')).toBe(0.44704)
    expect(convert(60, 'mph', 'm/s')).toBe(26.8224)
    expect(convert(1, 'mile', 'm')).toBe(1609.344)
    expect(convert(1, 'mile', 'yd')).toBe(1760)
    expect(convert(1, 'yd', 'm')).toBe(0.9144)
    expect(convert(12, 'in', 'ft')).toBe(1)
    expect(convert(100, 'km/h', 'm/s')).toBeCloseTo(27.7777777778, 10)
    expect(convert(125, 'mph', 'km/h')).toBe(201.168)
  })
})
