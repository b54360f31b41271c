import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Value } from '../../../server/measurement/limits/evaluate.ts'
import {
  contains,
  parseExpectation,
  type Resolved,
  resolveRange,
} from '../../../server/measurement/limits/expectation.ts'
import { judge } from '../../../server/measurement/verdicts/verdict.ts'
import { plain, value } from '../make.ts'

const position: [string, Value][] = [
  ['Cable length', { value: 100, unit: 'm' }],
  ['conductor', { value: 1.5, unit: 'mm²' }],
  ['temperature', { value: 10, unit: '°C' }],
  ['cable class', 'class 5'],
  ['loop spacing', { value: 10.89, unit: 'm' }],
  ['timer', { value: 974, unit: 'ms' }],
  ['supply', { value: 110, unit: 'V AC' }],
  ['drive', { value: 0.5, unit: 'A' }],
]

describe('a limit worked out at a position', () => {
  it('shows the sum: numbers in, and the result', () => {
    const range = ranged('pair resistance(cable length, conductor, temperature) ± 15 %')
    expect(plain(range.text)).toBe('1.977 to 2.673 Ω')
    expect(plain(range.working)).toBe(
      'pair resistance(Cable length 100 m, conductor 1.5 mm², temperature 10 °C) = 2 × 100 m × 12.1 Ω/km × (234.5 + 10) ÷ 254.5 = 2.325 Ω; 2.325 Ω ± 15 %; so 1.977 to 2.673 Ω.'.replace(
        'Cable',
        'cable',
      ),
    )
    expect(range.from).toBe('Demo value')
  })

  it('is judged by the numbers it shows, which never lie further out than those reckoned', () => {
    // 0.9 × 2.0426 Ω and 1.2 × 2.3985 Ω + 0.3 Ω: 1.8383 and 3.1782 Ω (computed).
    const range = ranged(
      '0.9 × pair resistance(cable length × 1.5, 2.5 mm², 0 °C) to 1.2 × pair resistance(cable length × 1.5, 2.5 mm², 40 °C) + 0.3 ohm',
    )
    expect(plain(range.text)).toBe('1.85 to 3.17 Ω')
    expect(range).toMatchObject({ min: 1.85, max: 3.17 })
    for (const bound of [1.85, 3.17]) expect(judge(value(bound, 'ohm', 0.01), range).side).toBe('in range')
    expect(judge(value(3.18, 'ohm', 0.01), range).side).toBe('above')
    expect(ranged('set speed(loop spacing, timer) ± 0 %', 'mph').text).toMatch(/^([\d.]+) to \1\u00a0mph$/)
  })

  it('knows that nothing reads lower than the copper', () => {
    // 2 × 100 m × 1/58 Ω·mm²/m ÷ 1.5 mm² × 244.5/254.5 = 2.2085 Ω (computed).
    expect(ranged('pair resistance(cable length, conductor, temperature) ± 15 %').floor).toBeCloseTo(
      2.2085,
      4,
    )
    // An allowance makes no more copper; a count does; two ends have the lower of their floors.
    for (const allowed of ['at most 120 % ×', 'at most 1.2 ×', 'at most (1 + 0.2) ×'])
      expect(ranged(`${allowed} pair resistance(cable length, conductor, temperature)`).floor).toBeCloseTo(
        2.2085,
        4,
      )
    expect(
      ranged('at most 2 × cable length × resistance per length(conductor, temperature)', 'ohm').floor,
    ).toBeCloseTo(2.2085, 4)
    expect(
      ranged(
        '0.9 × pair resistance(cable length, conductor, 10 °C) to 1.2 × pair resistance(cable length, conductor, 40 °C) + 0.3 ohm',
      ).floor,
    ).toBeCloseTo(0.9 * 2.2085, 4)
    expect(
      ranged('at most pair resistance(cable length, conductor, temperature) + 0.5 ohm').floor,
    ).toBeCloseTo(2.2085, 4)
    expect(ranged('at most 0.5 ohm').floor).toBeNull()
  })

  it('takes a word from the position, and a unit other than the base', () => {
    const flexible = ranged('at most pair resistance(cable length, conductor, 20 °C, cable class)')
    expect(flexible.max).toBeCloseTo(2.66, 9)
    const speed = ranged('set speed(loop spacing, timer) ± 5 %', 'mph')
    expect(speed).toMatchObject({ unit: 'm/s', shown: 'mph' })
    expect(plain(speed.text)).toBe('23.76 to 26.26 mph')
  })

  it('chooses a readable unit where the author gave none', () => {
    const range = ranged('at most pair resistance(cable length ÷ 100, conductor)')
    expect(range).toMatchObject({ unit: 'ohm', shown: 'mohm' })
    expect(plain(range.text)).toBe('at most 24.2 mΩ')
  })

  it('takes earlier findings', () => {
    const values = new Map<string, Value>([
      ['reading of Supply at the power module', { value: 108, unit: 'V AC' }],
    ])
    const limit = parse(
      '95 % × reading of supply at the power module to reading of supply at the power module',
    )
    expect(resolveRange(limit, { values }, meta)).toMatchObject({ ok: true, range: { min: 102.6, max: 108 } })
  })

  it('says which facts are missing', () => {
    const limit = parse('pair resistance(feeder length, conductor, track temperature) ± 15 %')
    expect(resolveRange(limit, { values: new Map(position) }, meta)).toEqual({
      ok: false,
      missing: ['feeder length', 'track temperature'],
      message: 'Not known at this position: feeder length, track temperature.',
    })
  })

  it.each<[string, [string, Value], string]>([
    ['at most supply ÷ drive', ['drive', { value: 0, unit: 'A' }], 'divides by zero: look at drive 0 A'],
    [
      'pair resistance(cable length, conductor, temperature) ± 5 %',
      ['temperature', { value: -300, unit: '°C' }],
      'nothing is colder',
    ],
    [
      'pair resistance(cable length, conductor, temperature) ± 5 %',
      ['temperature', { value: 400, unit: '°C' }],
      'outside −60 to 200 °C',
    ],
    [
      'pair resistance(cable length, conductor, temperature) ± 5 %',
      ['conductor', { value: 3, unit: 'mm²' }],
      'no value for a core of 3 mm²',
    ],
    [
      'pair resistance(cable length, conductor, temperature) ± 5 %',
      ['cable length', { value: -5, unit: 'm' }],
      'length must be more than zero',
    ],
    [
      'pair resistance(cable length, conductor, temperature) ± 5 %',
      ['cable length', { value: 5, unit: 'ohm' }],
      'as the length',
    ],
    [
      'pair resistance(cable length, conductor, temperature) ± 5 %',
      ['cable length', { value: Number.NaN, unit: 'm' }],
      'fill it in',
    ],
    [
      'pair resistance(cable length, conductor, temperature) ± 5 %',
      ['cable length', { value: 5, unit: 'furlong' }],
      'unit "furlong"',
    ],
    [
      'at most pair resistance(cable length, conductor, temperature, cable class)',
      ['cable class', 'class 9'],
      'no class of copper core',
    ],
    [
      'set speed(loop spacing, timer) ± 5 %',
      ['timer', { value: 0, unit: 's' }],
      'timer value must be more than zero',
    ],
    ['1 A to drive', ['drive', { value: 0.5, unit: 'A' }], 'comes out above the high end'],
  ])('"%s" with a wrong fact says what to mend', (text, [name, wrong], words) => {
    const result = resolve(text, undefined, new Map([...lower(position), [name, wrong]]))
    if (result.ok) throw new Error(`it came to ${result.range.text}`)
    expect(plain(result.message)).toContain(words)
    expect(result.message).not.toMatch(/NaN|undefined|Infinity/)
  })

  it('agrees with the verdict on what lies in it', () => {
    const facts = fc.record({
      length: fc.double({ min: 1, max: 5000, noNaN: true }),
      size: fc.constantFrom(0.5, 0.75, 1, 1.5, 2.5, 4),
      temperature: fc.double({ min: -20, max: 45, noNaN: true }),
      factor: fc.double({ min: 0.2, max: 3, noNaN: true }),
    })
    fc.assert(
      fc.property(facts, ({ length, size, temperature, factor }) => {
        const values = new Map<string, Value>([
          ['cable length', { value: length, unit: 'm' }],
          ['conductor', { value: size, unit: 'mm²' }],
          ['temperature', { value: temperature, unit: '°C' }],
        ])
        const resolved = resolve(
          'pair resistance(cable length, conductor, temperature) ± 15 %',
          'ohm',
          values,
        )
        if (!resolved.ok) throw new Error(resolved.message)
        const { range } = resolved
        const middle = ((range.min ?? 0) + (range.max ?? 0)) / 2
        const verdict = judge(value(middle * factor, 'ohm', 0.001), range)
        expect(verdict.side === 'in range').toBe(contains(range, middle * factor))
        expect(range.floor ?? 0).toBeLessThan(middle)
      }),
      { seed: 9 },
    )
  })
})

const meta = { from: 'Demo value', demo: true }

function ranged(text: string, unit?: string) {
  const result = resolve(text, unit, new Map(position))
  if (!result.ok) throw new Error(result.message)
  return result.range
}

function resolve(text: string, unit: string | undefined, values: Map<string, Value>): Resolved {
  return resolveRange(parse(text, unit), { values }, meta)
}

function parse(text: string, unit?: string) {
  const result = parseExpectation(text, unit)
  if (!result.ok) throw new Error(`${text}: ${result.problem.found}`)
  return result.expectation
}

function lower(entries: [string, Value][]): [string, Value][] {
  return entries.map(([name, entry]) => [name.toLowerCase(), entry])
}
