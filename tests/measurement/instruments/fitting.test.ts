import { describe, expect, it } from 'vitest'
import { betterThan, fitting, purposeOf } from '../../../server/measurement/instruments/fitting.ts'
import type { Instrument, InstrumentFunction } from '../../../server/measurement/instruments/instrument.ts'
import { instrumentNeeds, nothingStated } from '../../../server/measurement/instruments/suitability.ts'

// Which instrument fits which circuit is common practice, no published source; the figures are made up.

const function_ = (
  unit: string,
  range: number,
  more: Partial<InstrumentFunction> = {},
): InstrumentFunction => ({
  unit,
  range,
  accuracy: { percent: 1, counts: 3, resolution: range / 6000 },
  method: 'direct',
  ...more,
})
const kept = (id: string, ...functions: InstrumentFunction[]): Instrument => ({
  id,
  kind: id,
  serial: '1',
  functions,
  calibrationDue: null,
})
const needs = (unit: string, stated = {}) => instrumentNeeds({ ...nothingStated, ...stated }, unit, null)

const clamp = kept('clamp', function_('A', 6, { frequency: { from: 0, to: 400 } }))
const probe = kept('probe', function_('A', 3, { frequency: { from: 10_000, to: 100_000 } }))
const plain = kept('plain', function_('A', 10))
const tape = kept('tape', function_('m', 50))

describe('what fits', () => {
  it.each([
    [{ frequency: 50 }, [clamp, plain]],
    [{ frequency: 0 }, [clamp, plain]],
    [{ frequency: 65_000 }, [probe, plain]],
    [{}, [clamp, probe, plain]],
  ])('a current, needing %o', (stated, fits) => {
    expect(fitting([clamp, probe, plain, tape], needs('A', stated), null)).toEqual(fits)
  })

  it('has a range for the limit', () => {
    const range = { min: 99, max: 121, unit: 'V AC' }
    const small = kept('small', function_('V AC', 60))
    const large = kept('large', function_('V AC', 600))
    expect(fitting([small, large, tape], needs('V AC'), { ...range } as never)).toEqual([large])
  })
})

describe('what it is chosen for', () => {
  it.each([
    ['mV AC', {}, 'V AC'],
    ['mV DC', {}, 'V DC'],
    ['ohm', {}, 'ohm'],
    ['mohm', { method: '4-wire' }, 'milliohms'],
    ['ohm', { mostTestVoltage: 0.02 }, 'milliohms'],
    ['Mohm', { testVoltage: 500 }, 'insulation at 500 V'],
    ['kHz', {}, 'Hz'],
    ['m', {}, 'm'],
    ['A', { frequency: 65_000 }, 'A at 65000 Hz'],
  ])('%s, %o: %s', (unit, stated, purpose) => {
    expect(purposeOf(needs(unit, stated))).toBe(purpose)
  })
})

describe('what tells better', () => {
  const reading = { kind: 'value', value: 99.5, resolution: 1, unit: 'V AC' } as const
  const fine = kept(
    'fine',
    function_('V AC', 600, { accuracy: { percent: 0.1, counts: 1, resolution: 0.01 } }),
  )
  const coarse = kept(
    'coarse',
    function_('V AC', 600, { accuracy: { percent: 3, counts: 5, resolution: 1 } }),
  )

  it('is what has the smaller uncertainty there, the best first, and nothing that cannot read it', () => {
    // GUM 4.3.7: (0.1 % of 99.5 + 0.01) / sqrt(3) = 0.0632.
    expect(betterThan([coarse, tape, fine], reading, 1)).toMatchObject([{ instrument: fine }])
    expect(betterThan([coarse, tape, fine], reading, 1)[0]?.standard).toBeCloseTo(0.0632, 4)
    expect(betterThan([coarse, tape, fine], reading, null).map(one => one.instrument.id)).toEqual([
      'fine',
      'coarse',
    ])
    expect(betterThan([coarse, tape], reading, 0.01)).toEqual([])
  })
})
