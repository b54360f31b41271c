import { describe, expect, it } from 'vitest'
import type { Instrument } from '../../../server/measurement/instruments/instrument.ts'
import type { Range } from '../../../server/measurement/limits/expectation.ts'
import type { Reading } from '../../../server/measurement/readings/reading.ts'
import { confidence, judge, passesProof, ruleWords } from '../../../server/measurement/verdicts/verdict.ts'
import { meter, plain, range, value } from '../make.ts'

const supply = range(99, 121, 'V AC')
const contact = range(null, 0.5, 'ohm')
const insulation = range(1e6, null, 'ohm', { shown: 'Mohm' })
const voltmeter = meter('V AC', { percent: 1, counts: 3, resolution: 0.1 })
const ohmmeter = meter('ohm', { percent: 1, counts: 3, resolution: 0.1 }, 600, { method: '2-wire' })
const wander = (low: number, high: number): Reading => ({
  kind: 'unstable',
  low,
  high,
  resolution: 1,
  unit: 'V AC',
})
const beyond = (kind: 'more than' | 'less than', number: number): Reading => ({
  kind,
  value: number,
  unit: 'ohm',
})

describe('a verdict without an instrument', () => {
  it.each<[Reading, Range, string, string, string]>([
    [value(96.4, 'V AC'), supply, 'below', 'out', '96.4 V AC is below 99 to 121 V AC'],
    [value(99, 'V AC'), supply, 'in range', 'in', '99.0 V AC is within 99 to 121 V AC'],
    [value(121, 'V AC'), supply, 'in range', 'in', '121.0 V AC is within 99 to 121 V AC'],
    [value(121.1, 'V AC'), supply, 'above', 'out', '121.1 V AC is above 99 to 121 V AC'],
    [value(0.08, 'ohm', 0.01), contact, 'in range', 'in', '0.08 Ω is within the limit, at most 0.5 Ω'],
    [value(0.8, 'ohm'), contact, 'above', 'out', '0.8 Ω is above the limit, at most 0.5 Ω'],
    [value(2e5, 'ohm', 1e4), insulation, 'below', 'out', '0.20 MΩ is below the limit, at least 1 MΩ'],
    [{ kind: 'none', unit: 'V AC' }, supply, 'none', 'out', 'No reading where 99 to 121 V AC is expected'],
    [
      { kind: 'open', unit: 'ohm' },
      contact,
      'open',
      'out',
      'OL (open circuit) where at most 0.5 Ω is expected',
    ],
    [beyond('more than', 50), contact, 'above', 'out', 'More than 50 Ω is above the limit, at most 0.5 Ω'],
    [
      beyond('less than', 0.1),
      contact,
      'in range',
      'in',
      'Less than 0.1 Ω is within the limit, at most 0.5 Ω',
    ],
    [
      beyond('more than', 2e7),
      insulation,
      'in range',
      'in',
      'More than 20 MΩ is within the limit, at least 1 MΩ',
    ],
    [
      beyond('less than', 1e5),
      insulation,
      'below',
      'out',
      'Less than 0.1 MΩ is below the limit, at least 1 MΩ',
    ],
    [wander(104, 110), supply, 'in range', 'in', '104 to 110 V AC wanders, all within 99 to 121 V AC'],
    [wander(80, 90), supply, 'below', 'out', '80 to 90 V AC wanders, all below 99 to 121 V AC'],
  ])('%j', (reading, limit, side, zone, because) => {
    const verdict = judge(reading, limit)
    expect(verdict).toMatchObject({
      side,
      zone,
      rule: 'simple',
      probability: null,
      uncertainty: null,
      advice: null,
    })
    expect(plain(verdict.because)).toBe(because)
  })

  it.each<[Reading, Range, string, string]>([
    [wander(92, 104), supply, 'below', 'what makes it wander'],
    [wander(110, 130), supply, 'above', 'what makes it wander'],
    [beyond('more than', 0.2), contact, 'above', 'a range that shows a number'],
    [beyond('less than', 2), contact, 'above', 'a range that shows a number'],
    [beyond('more than', 5e5), insulation, 'below', 'a range that shows a number'],
    [beyond('less than', 5e6), insulation, 'below', 'a range that shows a number'],
  ])('takes the safe side where %j cannot be decided', (reading, limit, side, advice) => {
    const verdict = judge(reading, limit)
    expect(verdict).toMatchObject({ side, zone: 'out, close' })
    expect(verdict.advice).toContain(advice)
    expect(passesProof(verdict)).toBe(false)
  })

  it('does not trust a dead meter where nothing is expected', () => {
    const verdict = judge({ kind: 'none', unit: 'V AC' }, range(null, 5, 'V AC'))
    expect(verdict).toMatchObject({ side: 'none', zone: 'in, close' })
    expect(verdict.advice).toContain('known source')
    expect(passesProof(verdict)).toBe(false)
  })

  it('gives none without a limit, and says so', () => {
    const verdict = judge(value(96.4, 'V AC'), null)
    expect(verdict).toMatchObject({ side: 'unknown', zone: 'no verdict', rule: 'none' })
    expect(plain(verdict.because)).toBe('96.4 V AC; there is no limit to hold it against')
    expect(passesProof(verdict)).toBe(false)
    expect(confidence(verdict)).toBeNull()
    expect(judge({ kind: 'open', unit: 'ohm' }, null).side).toBe('open')
  })

  it('gives none for a number that is none', () => {
    const verdict = judge(value(Number.NaN, 'V AC'), supply)
    expect(verdict).toMatchObject({ side: 'unknown', zone: 'no verdict', rule: 'none' })
    expect(verdict.because).not.toContain('NaN')
  })

  it('takes next to nothing for nothing, where the limit says how little that is', () => {
    const fed = { ...supply, nothing: { most: 2, text: 'at most 2 V AC', from: 'Demo value', demo: true } }
    for (const reading of [
      value(0, 'V AC'),
      value(0.08, 'V AC', 0.01),
      wander(0, 1),
      { ...beyond('less than', 1), unit: 'V AC' },
    ]) {
      const verdict = judge(reading, fed)
      expect(verdict).toMatchObject({ side: 'none', zone: 'out' })
      expect(verdict.because).toContain('is as good as nothing where')
    }
    expect(judge(value(2.1, 'V AC'), fed).side).toBe('below')
    expect(judge(wander(1, 3), fed).side).toBe('below')
    // Where nothing is expected, a little is a reading like any other.
    expect(judge(value(0.08, 'V AC'), { ...range(null, 0.5, 'V AC'), nothing: fed.nothing }).side).toBe(
      'in range',
    )
  })

  it('gives none against a limit in another unit', () => {
    expect(judge(value(96.4, 'V DC'), supply)).toMatchObject({ side: 'unknown', zone: 'no verdict' })
  })

  it('leaves the bound of a strict band out', () => {
    const band = range(null, 10, 'V AC', { strict: true })
    expect(judge(value(10, 'V AC'), band).side).toBe('above')
    expect(judge(value(9.9, 'V AC'), band).side).toBe('in range')
    expect(judge(value(10, 'V AC'), range(10, null, 'V AC', { strict: true })).side).toBe('below')
  })
})

describe('a verdict with an instrument', () => {
  it('says when it is too close to call, with the odds', () => {
    const verdict = judge(value(99.8, 'V AC'), supply, voltmeter)
    expect(verdict).toMatchObject({ side: 'in range', zone: 'in, close', rule: 'guarded' })
    expect(plain(verdict.because)).toBe(
      '99.8 V AC is within 99 to 121 V AC, by less than the meter’s ±1.5 V AC',
    )
    expect(plain(verdict.advice)).toContain('Too close to call with this meter: 86 % likely to be in range.')
    expect(passesProof(verdict)).toBe(false)
  })

  it('keeps the doubt on the other side of the limit', () => {
    const verdict = judge(value(98.6, 'V AC'), supply, voltmeter)
    expect(verdict).toMatchObject({ side: 'below', zone: 'out, close' })
    expect(verdict.probability).toBeGreaterThan(0.2)
    expect(verdict.probability).toBeLessThan(0.5)
    expect(confidence(verdict)?.below).toBeCloseTo(1 - (verdict.probability ?? 0), 9)
  })

  it('passes proof only when it is sure', () => {
    expect(passesProof(judge(value(110, 'V AC'), supply, voltmeter))).toBe(true)
    expect(passesProof(judge(value(100, 'V AC'), supply, voltmeter))).toBe(false)
    expect(passesProof(judge(value(100, 'V AC'), supply))).toBe(true)
    expect(passesProof(judge(value(96, 'V AC'), supply))).toBe(false)
  })

  it('asks for four wires where two cannot tell', () => {
    const verdict = judge(value(0.3, 'ohm'), contact, ohmmeter)
    expect(verdict.zone).toBe('in, close')
    expect(verdict.advice).toContain('four wires')
  })

  it('says when the meter has no range for it, and judges without', () => {
    const verdict = judge(value(110, 'V AC'), supply, ohmmeter)
    expect(verdict).toMatchObject({ side: 'in range', zone: 'in', rule: 'simple' })
    expect(verdict.advice).toContain('no range for this reading')
  })

  it('proves nothing by a reading that the meter named cannot show', () => {
    const verdict = judge(value(650, 'V AC'), range(600, 700, 'V AC'), voltmeter)
    expect(verdict).toMatchObject({ side: 'in range', zone: 'in, close', rule: 'simple' })
    expect(verdict.advice).toContain('name the one it was read with')
    expect(passesProof(verdict)).toBe(false)
  })

  it('allows a wandering reading the error of its worst end', () => {
    const bench: Instrument = {
      ...meter('V DC', { percent: 0.5, counts: 2, resolution: 0.0001 }, 0.6),
      functions: [
        ...meter('V DC', { percent: 0.5, counts: 2, resolution: 0.001 }, 0.6).functions,
        ...meter('V DC', { percent: 2, counts: 3, resolution: 0.01 }, 6).functions,
      ],
    }
    const idle = range(-2, 2, 'V DC')
    const wandered = (low: number, high: number): Reading => ({
      ...{ kind: 'unstable', low, high, resolution: 0.01, unit: 'V DC' },
    })
    for (const [low, high] of [
      [-1.98, 0.01],
      [-0.01, 1.98],
      [-1.98, -0.5],
    ] as const) {
      const verdict = judge(wandered(low, high), idle, bench)
      expect(verdict).toMatchObject({ side: 'in range', zone: 'in, close' })
      // (2 % of 1.98 V + 3 counts of 0.01 V) ÷ √3 × 2 (GUM 4.3.7, k = 2; computed).
      expect(verdict.uncertainty).toBeCloseTo((2 * (0.0396 + 0.03)) / Math.sqrt(3), 9)
    }
    expect(passesProof(judge(wandered(-1.5, 0.01), idle, bench))).toBe(true)
  })

  it('holds the bound of “less than” and “more than” off the limit by what the meter may be off', () => {
    expect(judge(beyond('less than', 0.5), contact, ohmmeter)).toMatchObject({ zone: 'in, close' })
    expect(judge(beyond('less than', 0.5), contact)).toMatchObject({ zone: 'in' })
    expect(judge(beyond('more than', 600), range(600, null, 'ohm'), ohmmeter).zone).toBe('in, close')
  })

  it('takes OL on volts for higher than the meter can show, and never for an open circuit', () => {
    const over: Reading = { kind: 'open', unit: 'V AC' }
    expect(judge(over, supply, voltmeter)).toMatchObject({ side: 'above', zone: 'out' })
    const unknown = judge(over, supply)
    expect(unknown).toMatchObject({ side: 'above', zone: 'out, close' })
    expect(plain(unknown.because)).toBe('OL (over the meter’s range) cannot be placed against 99 to 121 V AC')
    expect(unknown.advice).toContain('set a higher range')
    expect(passesProof(judge(over, range(99, null, 'V AC'), voltmeter))).toBe(false)
  })

  it('takes over-range as in range only with a meter that reaches the limit', () => {
    const tester: Instrument = meter('Mohm', { percent: 3, counts: 2, resolution: 0.1 }, 200, {
      testVoltage: 500,
    })
    const open: Reading = { kind: 'open', unit: 'ohm' }
    expect(judge(open, insulation, tester)).toMatchObject({ side: 'open', zone: 'in', rule: 'guarded' })
    expect(passesProof(judge(open, insulation, tester))).toBe(true)
    for (const unsure of [judge(open, insulation), judge(open, insulation, ohmmeter)]) {
      expect(unsure).toMatchObject({ side: 'open', zone: 'in, close', rule: 'simple' })
      expect(unsure.advice).toContain('>20M')
      expect(passesProof(unsure)).toBe(false)
    }
  })

  it('has words for the rule that was used', () => {
    expect(ruleWords(judge(value(110, 'V AC'), supply))).toContain('no meter is named')
    expect(ruleWords(judge(value(110, 'V AC'), supply, voltmeter))).toContain('own uncertainty')
    expect(ruleWords(judge(value(110, 'V AC'), null))).toContain('no limit')
  })
})

describe('a reading lower than the copper could have', () => {
  const loop = range(null, 2.7, 'ohm', { floor: 2.2 })

  it('points to a short nearer than the loop and proves nothing', () => {
    const verdict = judge(value(0.9, 'ohm'), loop)
    expect(verdict).toMatchObject({ side: 'in range', zone: 'in, close' })
    expect(plain(verdict.advice)).toContain(
      'lower than the copper could have (2.2 Ω): look for a short nearer than the loop',
    )
    expect(passesProof(verdict)).toBe(false)
  })

  it('says so beside a reading below its range too', () => {
    const verdict = judge(value(0.9, 'ohm'), range(1.97, 2.67, 'ohm', { floor: 2.2 }))
    expect(verdict).toMatchObject({ side: 'below', zone: 'out' })
    expect(verdict.advice).toContain('short nearer')
  })

  it('allows for the meter', () => {
    expect(judge(value(2.1, 'ohm'), loop, ohmmeter).advice ?? '').not.toContain('short nearer')
    expect(judge(value(2.1, 'ohm'), loop).advice).toContain('short nearer')
    expect(judge(value(2.3, 'ohm'), loop).advice).toBeNull()
  })
})
