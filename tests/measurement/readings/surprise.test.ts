import { describe, expect, it } from 'vitest'
import type { Reading } from '../../../server/measurement/readings/reading.ts'
import { type Surroundings, slipsOf, surprise } from '../../../server/measurement/readings/surprise.ts'
import { plain, range, value } from '../make.ts'

const supply = around(range(99, 121, 'V AC'), 'V AC')
const contact = around(range(null, 0.5, 'ohm'), 'ohm')
const insulation = around(range(1e6, null, 'ohm', { shown: 'Mohm' }), 'Mohm')
const drop = around(range(-0.05, 0.05, 'V DC'), 'mV DC', range(18, 28, 'V DC'))
const fuse = around(range(null, 0.5, 'V AC'), 'V AC', range(90, 130, 'V AC'))

describe('a surprising reading', () => {
  it.each<[string, number, number, Surroundings]>([
    ['a point left out', 1104, 1, supply],
    ['a point shifted', 11.04, 0.01, supply],
    ['a prefix', 0.11, 0.01, supply],
    ['a prefix', 110_400, 100, supply],
    ['a key hit twice', 1110.4, 0.1, supply],
    ['a key missed', 11.4, 0.1, supply],
    ['a prefix', 80, 1, contact],
    ['a prefix', 5000, 100, insulation],
    ['a prefix', 12, 1, drop],
  ])('is asked about when %s would bring it into range', (_, number, resolution, where) => {
    expect(surprise(value(number, where.range?.unit ?? '', resolution), where)).not.toBeNull()
  })

  it('is asked about with what it is, and never with the range', () => {
    const asked = surprise(value(1105, 'V AC', 1), supply)
    expect(plain(asked?.shown)).toBe('1105 V AC')
    expect(asked?.because).toBe('That is more than can be there.')
    expect(asked?.because).not.toMatch(/\d/)
    expect(surprise(value(11.04, 'V AC', 0.01), supply)?.because).not.toMatch(/\d/)
  })

  it('is asked about when it cannot be', () => {
    const free = around(null, 'ohm')
    expect(surprise(value(-3, 'ohm', 1), contact)?.because).toBe('A resistance cannot be negative.')
    expect(surprise(value(-3, 'V AC', 1), around(null, 'V AC'))?.because).toBe('AC volts cannot be negative.')
    expect(surprise(value(-80, '°C', 1), around(null, '°C'))?.because).toContain('colder')
    expect(surprise(value(5e12, 'ohm', 1e10), free)?.because).toContain('more than is ever met')
    expect(surprise(value(260, 'V AC', 1), supply)?.because).toContain('more than can be there')
    expect(surprise(value(300, 'V AC', 1), fuse)?.because).toContain('more than can be there')
    expect(surprise(value(0.00001, 'ohm', 0.000001), contact)?.because).toContain('far less')
    expect(surprise(value(5.3, 'V AC', 0.1), { ...supply, text: '05.3' })?.because).toContain('no 0 before')
  })

  it('at either end of what wandered', () => {
    const wandered: Reading = { kind: 'unstable', low: 3, high: 105, resolution: 1, unit: 'V AC' }
    expect(surprise(wandered, supply)).toBeNull()
    expect(surprise({ ...wandered, low: 105, high: 1105 }, supply)).not.toBeNull()
  })

  it('is no ordinary fault', () => {
    for (const volts of [0, 3, 40, 62.4, 96.4, 110, 130, 220])
      expect(surprise(value(volts, 'V AC'), supply)).toBeNull()
    for (const ohms of [0, 0.02, 0.4]) expect(surprise(value(ohms, 'ohm', 0.01), contact)).toBeNull()
    for (const ohms of [0, 2e6, 2e8]) expect(surprise(value(ohms, 'ohm', 1e4), insulation)).toBeNull()
    expect(surprise({ kind: 'open', unit: 'ohm' }, contact)).toBeNull()
    expect(surprise({ kind: 'none', unit: 'V AC' }, supply)).toBeNull()
    expect(surprise(value(-0.2, 'V DC'), around(null, 'V DC'))).toBeNull()
  })

  it('is none where the author says that a fault shows it', () => {
    expect(surprise(value(109.8, 'V AC'), fuse)).toBeNull()
    expect(surprise(value(24.1, 'V DC'), drop)).toBeNull()
    expect(surprise(value(109.8, 'V AC'), { ...fuse, atFault: [] })).not.toBeNull()
  })
})

describe('what may have been meant', () => {
  it('has the point elsewhere, a key less, a key more or another prefix', () => {
    expect(slipsOf('1105', 4)).toEqual(expect.arrayContaining([110.5, 11.05, 105, 1.105]))
    expect(slipsOf('1.9', 3)).toEqual(expect.arrayContaining([1.09, 11.9, 1.95, 19, 0.19]))
    expect(slipsOf('-0.12', 3)).toEqual(expect.arrayContaining([-1.2, -120]))
    expect(slipsOf('1.90', 3)).not.toContain(1.09)
  })
})

function around(
  expected: Surroundings['range'],
  meter: string,
  ...atFault: Surroundings['atFault']
): Surroundings {
  return { range: expected, atFault, meter, text: '' }
}
