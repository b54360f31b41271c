import student from '@stdlib/stats-base-dists-t-quantile'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  average,
  fromVoltDrop,
  leadAdvice,
  withoutLeads,
} from '../../../server/measurement/readings/corrections.ts'
import { Impossible } from '../../../server/measurement/readings/impossible.ts'
import { formatReading } from '../../../server/measurement/readings/reading.ts'
import { plain, value } from '../make.ts'

describe('leads', () => {
  it('are subtracted, with the sum shown', () => {
    const { reading, working } = withoutLeads(value(0.52, 'ohm', 0.01), 0.31)
    expect(reading).toEqual(value(0.21, 'ohm', 0.01))
    expect(plain(working)).toBe('0.52 Ω − 0.31 Ω of leads = 0.21 Ω')
  })

  it('that have a count more than the reading leave nothing; more is refused', () => {
    expect(withoutLeads(value(0.3, 'ohm', 0.01), 0.31).reading.value).toBe(0)
    expect(() => withoutLeads(value(0.2, 'ohm', 0.01), 0.31)).toThrow(Impossible)
    expect(() => withoutLeads(value(0.2, 'ohm', 0.01), Number.NaN)).toThrow(Impossible)
    expect(() => withoutLeads(value(0.2, 'V AC', 0.01), 0.1)).toThrow(Impossible)
  })

  it('of more than an ohm are worn', () => {
    expect(leadAdvice(0.3)).toBeNull()
    expect(leadAdvice(1.4)).toContain('worn')
  })
})

describe('what was worked out', () => {
  it('is judged by the number it shows', () => {
    // 3.18333… and 0.0727500… to a tenth of a count (computed).
    const mean = average([3.18, 3.18, 3.19].map(ohms => value(ohms, 'ohm', 0.01))).reading
    expect([mean.value, plain(formatReading(mean))]).toEqual([3.183, '3.183 Ω'])
    const quotient = fromVoltDrop(value(0.0873, 'V DC', 0.0001), value(1.2, 'A', 0.01)).reading
    expect([quotient.value, plain(formatReading(quotient))]).toEqual([0.07275, '72.75 mΩ'])
    const less = withoutLeads(value(1.5, 'ohm', 0.1), 0.25).reading
    expect([less.value, plain(formatReading(less))]).toEqual([1.25, '1.25 Ω'])
    expect(plain(formatReading({ kind: 'more than', value: 1234.56, unit: 'V AC' }))).toBe(
      'more than 1.23456 kV AC',
    )
  })
})

describe('volt drop under load', () => {
  it('gives the resistance', () => {
    const { reading, working } = fromVoltDrop(value(0.0125, 'V DC', 0.0001), value(0.5, 'A', 0.01))
    expect(reading).toEqual(value(0.025, 'ohm', 0.0001))
    expect(plain(working)).toBe('12.5 mV DC ÷ 0.50 A = 25.0 mΩ')
  })

  it('in volts AC gives ohms AC, which no DC limit judges', () => {
    expect(fromVoltDrop(value(0.0125, 'V AC', 0.0001), value(0.5, 'A', 0.01)).reading.unit).toBe('ohm AC')
  })

  it('needs a current, and volts', () => {
    expect(() => fromVoltDrop(value(0.01, 'V DC'), value(0, 'A'))).toThrow('No current flows')
    expect(() => fromVoltDrop(value(0.01, 'ohm'), value(1, 'A'))).toThrow(Impossible)
  })

  it('of nothing is no resistance, not NaN', () => {
    const { reading } = fromVoltDrop(value(0, 'V DC', 0.0001), value(0.5, 'A', 0.01))
    expect(reading.value).toBe(0)
    expect(reading.resolution).toBeGreaterThan(0)
  })
})

describe('repeated readings', () => {
  it('have a mean and a spread', () => {
    // Mean 0.21, standard deviation 0.01, t(0.975; 2) = 4.303 (value from memory): ±0.0248 (computed).
    const result = average([0.2, 0.21, 0.22].map(ohms => value(ohms, 'ohm', 0.01)))
    expect(result.reading.value).toBe(0.21)
    expect(result).toMatchObject({ low: 0.2, high: 0.22 })
    expect(result.deviation).toBeCloseTo(0.01, 12)
    expect(result.within).toBeCloseTo(0.02484, 5)
    expect(plain(result.working)).toBe('(0.20 + 0.21 + 0.22) ÷ 3 = 0.21 Ω, spread 0.02')
  })

  it('lie about their mean as a general library has it', () => {
    // @stdlib/stats-base-dists-t-quantile (general library).
    const readings = fc.array(fc.integer({ min: 1, max: 999 }), { minLength: 2, maxLength: 12 })
    fc.assert(
      fc.property(readings, counts => {
        const result = average(counts.map(count => value(count / 100, 'ohm', 0.01)))
        const n = counts.length
        const expected = (student(0.975, n - 1) * result.deviation) / Math.sqrt(n)
        expect(result.within).toBeCloseTo(expected, 8)
        expect(result.reading.value).toBeGreaterThanOrEqual(result.low - 1e-12)
        expect(result.reading.value).toBeLessThanOrEqual(result.high + 1e-12)
      }),
      { seed: 17 },
    )
  })

  it('need two of the same quantity', () => {
    expect(() => average([value(1, 'ohm')])).toThrow('Two readings')
    expect(() => average([value(1, 'ohm'), value(1, 'A')])).toThrow('same quantity')
  })
})
