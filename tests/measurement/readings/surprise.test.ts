import { describe, expect, it } from 'vitest'
import { surprise } from '../../../server/measurement/readings/surprise.ts'
import { plain, range, value } from '../make.ts'

const supply = range(99, 121, 'V AC')
const contact = range(null, 0.5, 'ohm')
const insulation = range(1e6, null, 'ohm', { shown: 'Mohm' })

describe('a surprising reading', () => {
  it('is asked about when it is out by a thousand', () => {
    expect(plain(surprise(value(0.11, 'V AC', 0.01), supply))).toBe(
      '0.11 V AC is about a thousand times smaller than 99 to 121 V AC. Is it 110 V AC, or does the meter really show 0.11 V AC?',
    )
    expect(surprise(value(110_000, 'V AC', 1), supply)).toContain('more than is ever met')
    expect(plain(surprise(value(80, 'ohm', 1), contact))).toContain('Is it 80 mΩ')
    expect(surprise(value(0.00001, 'ohm', 0.000001), contact)).toContain('far less')
    expect(surprise(value(5000, 'ohm', 100), insulation)).toContain('thousand times smaller')
  })

  it('is asked about when it cannot be', () => {
    expect(surprise(value(-3, 'ohm', 1), contact)).toContain('is negative')
    expect(surprise(value(-3, 'ohm', 1), null)).toContain('is negative')
    expect(surprise(value(-80, '°C', 1), null)).toContain('colder')
    expect(surprise(value(5e12, 'ohm', 1e10), null)).toContain('more than is ever met')
  })

  it('is no ordinary fault', () => {
    for (const volts of [0, 3, 40, 96.4, 110, 130]) expect(surprise(value(volts, 'V AC'), supply)).toBeNull()
    for (const ohms of [0, 0.02, 0.4, 0.6, 5, 20]) expect(surprise(value(ohms, 'ohm'), contact)).toBeNull()
    for (const ohms of [0, 50_000, 2e5, 9e5, 2e6, 2e8])
      expect(surprise(value(ohms, 'ohm'), insulation)).toBeNull()
    expect(surprise({ kind: 'open', unit: 'ohm' }, contact)).toBeNull()
    expect(surprise({ kind: 'none', unit: 'V AC' }, supply)).toBeNull()
    expect(surprise(value(-0.2, 'V DC'), null)).toBeNull()
  })
})
