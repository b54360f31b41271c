import { describe, expect, it } from 'vitest'
import { fittingVariants, mayBeFitted, supersededOf } from '../../server/walk/fit.ts'
import { equipment } from './small-knowledge.ts'

// A unit is judged by its variant against the position, never by what was taken out: the lesson of AAIB report 1/92
// (secondary: press account), where new bolts were matched to wrong ones. The variants here are invented.

const facts = { Direction: 'normal', duty: 'overspeed' }
const judged = (kind: string, variant: string, here: Record<string, string> = facts) =>
  mayBeFitted(equipment, here, kind, variant)

describe('a unit', () => {
  it('may be fitted where every condition of its variant holds', () => {
    expect(judged('transmitter module', 'N1')).toEqual({ ok: true })
    expect(judged('Transmitter module', ' n1 ')).toEqual({ ok: true })
    expect(judged('power module', 'A', {})).toEqual({ ok: true })
  })

  it('is refused with the reason where one does not', () => {
    expect(judged('transmitter module', 'P1')).toEqual({
      ok: false,
      reason: '“P1” is only for positions where direction is opposite; here it is normal.',
    })
    expect(judged('transmitter module', 'N1', { direction: 'normal', duty: 'train stop' })).toMatchObject({
      ok: false,
      reason: expect.stringContaining('duty is overspeed or speed restriction; here it is train stop'),
    })
  })

  it('is refused where the fact is not on record', () => {
    expect(judged('transmitter module', 'N1', { direction: 'normal' })).toMatchObject({
      ok: false,
      reason: expect.stringContaining('not on record here'),
    })
  })

  it('is refused when its kind or variant is unknown', () => {
    expect(judged('relay', 'K1')).toMatchObject({ ok: false, reason: expect.stringContaining('relay') })
    expect(judged('power module', 'Z')).toMatchObject({
      ok: false,
      reason: expect.stringContaining('are: A.'),
    })
  })

  it('is listed with its fellows, each with whether it fits', () => {
    const listed = fittingVariants(equipment, facts, 'transmitter module')
    expect(listed.map(({ unit, fit }) => [unit.variant, fit.ok])).toEqual([
      ['N1', true],
      ['P1', false],
    ])
  })
})

describe('a superseded variant', () => {
  it('may still be fitted, and is named where it is in use', () => {
    const [first] = equipment.units.filter(unit => unit.kind === 'power module')
    if (!first) throw new Error('The example has no power module.')
    const kit = { ...equipment, units: [...equipment.units, { ...first, variant: 'A0', superseded: true }] }
    expect(mayBeFitted(kit, {}, 'power module', 'A0')).toEqual({ ok: true })
    const fitted = [
      { kind: 'power module', variant: 'A0', serial: '12' },
      { kind: 'transmitter module', variant: 'N1', serial: '13' },
    ]
    expect(supersededOf(kit, fitted)).toEqual(['power module A0, serial 12'])
  })
})
