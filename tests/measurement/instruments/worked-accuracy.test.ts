import { describe, expect, it } from 'vitest'
import {
  differenceAccuracy,
  type Instrument,
  type InstrumentFunction,
  quotientAccuracy,
} from '../../../server/measurement/instruments/instrument.ts'
import type { Reading } from '../../../server/measurement/readings/reading.ts'
import { judge, oddsWords } from '../../../server/measurement/verdicts/verdict.ts'

const able = (
  unit: string,
  range: number,
  percent: number,
  counts: number,
  resolution: number,
): InstrumentFunction => ({
  unit,
  range,
  accuracy: { percent, counts, resolution },
  method: 'direct',
})
const meter = (...functions: InstrumentFunction[]): Instrument => ({
  id: 'm',
  kind: 'multimeter',
  serial: '1',
  functions,
  calibrationDue: null,
})
const value = (number: number, unit: string, resolution: number): Extract<Reading, { kind: 'value' }> => ({
  kind: 'value',
  value: number,
  resolution,
  unit,
})

describe('the accuracy of a reading worked out of others', () => {
  // Root of the sum of squares, GUM 5.1.2 (value from memory); the numbers computed.
  it('adds the leads’ to the whole’s as independent errors', () => {
    const ohms = meter(able('ohm', 600, 1, 5, 0.01))
    const found = differenceAccuracy(ohms, value(2, 'ohm', 0.01), value(0.5, 'ohm', 0.01))
    expect(found?.halfWidth).toBeCloseTo(0.07 + 0.055, 12)
    expect(found?.standard).toBeCloseTo(Math.hypot(0.07, 0.055) / Math.sqrt(3), 12)
  })

  it('of volts over amperes adds their shares', () => {
    const both = meter(able('V DC', 1, 1, 0, 0.0001), able('A', 10, 2, 0, 0.001))
    const found = quotientAccuracy(both, value(0.1, 'V DC', 0.0001), value(2, 'A', 0.001))
    // 1 % and 2 % of 50 mΩ, each ÷ √3.
    expect(found?.standard).toBeCloseTo((0.05 * Math.hypot(0.01, 0.02)) / Math.sqrt(3), 12)
  })

  it('is not known where the instrument lacks a function, or nothing flows', () => {
    const volts = meter(able('V DC', 1, 1, 0, 0.0001))
    expect(quotientAccuracy(volts, value(0.1, 'V DC', 0.0001), value(2, 'A', 0.001))).toBeNull()
    const both = meter(able('V DC', 1, 1, 0, 0.0001), able('A', 10, 2, 0, 0.001))
    expect(quotientAccuracy(both, value(0.1, 'V DC', 0.0001), value(0, 'A', 0.001))).toBeNull()
    expect(differenceAccuracy(volts, value(2, 'ohm', 0.01), value(0.5, 'ohm', 0.01))).toBeNull()
  })

  it('takes the place of the instrument’s own line in the verdict; none known is the simple rule', () => {
    const range = {
      min: null,
      max: 1,
      unit: 'ohm',
      text: 'at most 1 Ω',
      from: '',
      demo: false,
      working: null,
      floor: null,
    }
    const ohms = meter(able('ohm', 600, 1, 5, 0.01))
    const accuracy = differenceAccuracy(ohms, value(1.42, 'ohm', 0.01), value(0.5, 'ohm', 0.01))
    expect(judge(value(0.92, 'ohm', 0.01), range, ohms, accuracy)).toMatchObject({
      zone: 'in, close',
      rule: 'guarded',
    })
    expect(judge(value(0.9, 'ohm', 0.01), range, ohms, null)).toMatchObject({ zone: 'in', rule: 'simple' })
  })
})

describe('a reading lower than anything can be', () => {
  const range = {
    min: null,
    max: 2,
    unit: 'ohm',
    text: 'at most 2 Ω',
    from: '',
    demo: false,
    working: null,
    floor: 1.6,
  }
  it('is marked so, and is not said to be near the limit', () => {
    const ohms = meter(able('ohm', 600, 1, 5, 0.01))
    const verdict = judge(value(0.4, 'ohm', 0.01), range, ohms)
    expect(verdict).toMatchObject({ implausible: true, zone: 'in, close' })
    expect(verdict.because).not.toContain('by less than')
    expect(judge(value(1.9, 'ohm', 0.01), range, ohms).implausible).toBeUndefined()
  })
})

describe('the odds in words', () => {
  it.each([
    [0.8413, 'Chance that it is truly in range: 84 %: in about 84 of 100 such readings it is.'],
    [0.9999, 'Chance that it is truly in range: more than 99 %.'],
    [0.0001, 'Chance that it is truly in range: less than 1 %.'],
  ])('of %d', (probability, words) => {
    expect(oddsWords(probability)?.replace(/\u00a0/g, ' ')).toBe(words)
  })

  it('are not told where there are none', () => {
    expect(oddsWords(null)).toBeNull()
  })
})
