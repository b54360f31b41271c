import normal from '@stdlib/stats-base-dists-normal-cdf'
import student from '@stdlib/stats-base-dists-t-quantile'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { accuracyFor, type Instrument } from '../../server/measurement/instruments/instrument.ts'
import { chances } from '../../server/measurement/verdicts/placing.ts'
import { judge } from '../../server/measurement/verdicts/verdict.ts'
import { normalCdf } from '../../server/statistics/normal.ts'
import { studentQuantile } from '../../server/statistics/student.ts'
import { meter, range, value } from '../measurement/make.ts'

describe('the distributions', () => {
  it('agree with a general library on the normal one, in the tails too', () => {
    // @stdlib/stats-base-dists-normal-cdf (general library).
    fc.assert(
      fc.property(fc.double({ min: -37, max: 8.2, noNaN: true }), z => {
        const reference = normal(z, 0, 1)
        expect(Math.abs(normalCdf(z) - reference)).toBeLessThanOrEqual(1e-12 * reference + 1e-300)
      }),
      { seed: 1, numRuns: 2000 },
    )
  })

  it('agree with a general library on Student’s t', () => {
    // @stdlib/stats-base-dists-t-quantile (general library).
    for (const freedom of [1, 2, 3, 4, 5, 6, 9, 10, 19, 30, 99])
      for (const within of [0.5, 0.9, 0.95, 0.9545, 0.99])
        expect(studentQuantile(0.5 + within / 2, freedom) / student(0.5 + within / 2, freedom)).toBeCloseTo(
          1,
          9,
        )
  })

  it('have the familiar values', () => {
    // Textbook tables (values from memory): t(0.975; 6) = 2.4469, t(0.975; 1) = 12.706, Φ(1.96) = 0.975.
    expect(studentQuantile(0.975, 6)).toBeCloseTo(2.4469118511, 8)
    expect(studentQuantile(0.975, 1)).toBeCloseTo(12.706, 3)
    expect(normalCdf(1.959963984540054)).toBeCloseTo(0.975, 14)
  })
})

describe('conformance probability after JCGM 106:2012', () => {
  it('has the one-sided worked example', () => {
    // Reading −5.47 V, u 0.05 V, upper limit −5.40 V: 0.92 (value from memory; 0.9192433408 computed).
    expect(chances(-5.47, range(null, -5.4, 'V DC'), 0.05).in).toBeCloseTo(0.9192433408, 9)
  })

  it('has the two-sided worked example', () => {
    // Reading 13.6, u 1.8, limits 12.5 to 16.3: 0.66 (value from memory; 0.6626 computed).
    expect(chances(13.6, range(12.5, 16.3, 'ohm'), 1.8).in).toBeCloseTo(0.6626, 4)
  })

  it('has the guard factors for a chosen risk', () => {
    // 5 % 1.6449, 2.5 % 1.9600, 1 % 2.3263, 0.1 % 3.0902; a guard of U at k = 2 leaves 2.28 % (computed).
    for (const [risk, factor] of [
      [0.05, 1.6448536],
      [0.025, 1.959964],
      [0.01, 2.3263479],
      [0.001, 3.0902323],
      [0.0227501, 2],
    ] as const)
      expect(chances(100 - factor, range(null, 100, 'ohm'), 1).above).toBeCloseTo(risk, 7)
  })

  it('takes the four zones of ILAC-G8:09/2019 4.2.3', () => {
    // Limit 99.0 to 121.0 V, U = 1.6 V: accepted from 100.6 to 119.4; 99.8 V is a conditional pass, 0.841 (computed).
    const exact = meter('V AC', { percent: 0, counts: Math.sqrt(3) * 8, resolution: 0.1 })
    const zone = (volts: number) => judge(value(volts, 'V AC', 0.1), range(99, 121, 'V AC'), exact).zone
    const near = judge(value(99.8, 'V AC', 0.1), range(99, 121, 'V AC'), exact)
    expect(near.uncertainty).toBeCloseTo(1.6, 9)
    expect(near.zone).toBe('in, close')
    expect(near.probability).toBeCloseTo(0.841, 3)
    expect([97.3, 97.5, 98.9, 99, 100.5, 100.7, 119.3, 119.5, 121, 121.1, 122.5, 122.7].map(zone)).toEqual([
      'out',
      'out, close',
      'out, close',
      'in, close',
      'in, close',
      'in',
      'in',
      'in, close',
      'in, close',
      'out, close',
      'out, close',
      'out',
    ])
  })
})

describe('accuracy of an instrument', () => {
  it('has the worked examples of ±(% of reading + counts)', () => {
    // 120.0 V on 600.0 V, ±(1 % + 3): ±1.5 V; 100.0 V, ±(0.8 % + 2): ±1.0 V (secondary). 110.0 V, ±(1 % + 3): ±1.4 V,
    // standard uncertainty 0.81 V (computed).
    const one = meter('V AC', { percent: 1, counts: 3, resolution: 0.1 })
    const other = meter('V AC', { percent: 0.8, counts: 2, resolution: 0.1 })
    expect(accuracyFor(one, value(120, 'V AC', 0.1))?.halfWidth).toBeCloseTo(1.5, 12)
    expect(accuracyFor(other, value(100, 'V AC', 0.1))?.halfWidth).toBeCloseTo(1.0, 12)
    expect(accuracyFor(one, value(110, 'V AC', 0.1))?.halfWidth).toBeCloseTo(1.4, 12)
    expect(accuracyFor(one, value(110, 'V AC', 0.1))?.standard).toBeCloseTo(0.81, 2)
  })

  it('has the voltmeter of the GUM', () => {
    // GUM 4.3.7: 0.928571 V on 1 V, 14e-6 of reading + 2e-6 of range: a = 15 µV, u = 8.7 µV (values from memory).
    const voltmeter: Instrument = meter('V DC', { percent: 14e-4, counts: 2, resolution: 1e-6 }, 1)
    const accuracy = accuracyFor(voltmeter, value(0.928571, 'V DC', 1e-6))
    expect((accuracy?.halfWidth ?? 0) * 1e6).toBeCloseTo(14.999994, 5)
    expect((accuracy?.standard ?? 0) * 1e6).toBeCloseTo(8.660251, 5)
  })

  it('adds the scatter of repeated readings', () => {
    // GUM 4.3.7 and 5.1.5: with 12 µV from the scatter the combined uncertainty is 15 µV (value from memory; 14.7986).
    const voltmeter = meter('V DC', { percent: 14e-4, counts: 2, resolution: 1e-6 }, 1)
    const mean = { ...value(0.928571, 'V DC', 1e-6), spread: 12e-6 }
    expect((accuracyFor(voltmeter, mean)?.standard ?? 0) * 1e6).toBeCloseTo(14.7986, 4)
  })

  it('adds the rounding of a reading noted more coarsely than the meter shows', () => {
    // GUM F.2.2.1: a resolution δ alone is u = 0.29 δ (value from memory).
    const perfect = meter('V AC', { percent: 0, counts: 0, resolution: 0.1 })
    expect(accuracyFor(perfect, value(110, 'V AC', 1))?.standard).toBeCloseTo(0.2886751, 7)
    expect(accuracyFor(perfect, value(110, 'V AC', 0.1))?.standard).toBe(0)
  })
})
