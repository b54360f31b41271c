import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Value } from '../../../server/measurement/limits/evaluate.ts'
import {
  checkDimensions,
  contains,
  isConstant,
  parseExpectation,
  resolveConstant,
  resolveRange,
} from '../../../server/measurement/limits/expectation.ts'
import { FUNCTIONS } from '../../../server/measurement/limits/functions.ts'
import { formatRange } from '../../../server/measurement/readings/format.ts'

const words = [
  'cable length',
  'temperature',
  'conductor',
  'supply',
  'direction',
  'wibble',
  ...FUNCTIONS.keys(),
]
const pieces = fc.constantFrom(
  ...words,
  '1',
  '0',
  '2.5',
  '110',
  '99',
  '1.5 mm²',
  '20 °C',
  '5 K',
  '10 V',
  '110 V AC',
  '3 ohm',
  '2 A',
  '15 %',
  '65 kHz',
  '-',
  ' to ',
  ' ± ',
  ' + ',
  ' − ',
  ' × ',
  ' ÷ ',
  '(',
  ')',
  ', ',
  'at most ',
  'at least ',
  'below ',
  'above ',
)
const scattered = fc.array(pieces, { maxLength: 9 }).map(parts => parts.join(''))
const quantity = fc.constantFrom(
  'cable length',
  'temperature',
  'supply',
  '110 V AC',
  '3 ohm',
  '2 A',
  '0 A',
  '5 K',
  '2',
  '0',
  '-1',
  'pair resistance(cable length, conductor, temperature)',
  'resistance per length(conductor, temperature)',
  'feeder volt drop(2 A, cable length, conductor)',
  'skin depth(65 kHz, temperature)',
  'temperature',
  'set speed(cable length, 1 s)',
  'loop inductance(cable length, 1 m, 1 mm)',
  'fusing current(supply ÷ 3 ohm)',
  'insulation minimum(supply)',
  'ac resistance ratio(conductor, 65 kHz)',
)
const sum = fc.oneof(
  quantity,
  fc.tuple(quantity, fc.constantFrom('+', '−', '×', '÷'), quantity).map(parts => parts.join(' ')),
)
const shaped = fc.oneof(
  fc.tuple(fc.constantFrom('at most', 'at least', 'below', 'above'), sum).map(parts => parts.join(' ')),
  fc.tuple(sum, fc.constantFrom('± 15 %', '+10 % −6 %')).map(parts => parts.join(' ')),
  fc.tuple(sum, sum).map(parts => parts.join(' to ')),
)
const text = fc.oneof(scattered, { arbitrary: shaped, weight: 3 })
const wild = fc.oneof(fc.double({ noNaN: false }), {
  arbitrary: fc.double({ min: -50, max: 500 }),
  weight: 4,
})
const facts = fc.record({
  length: wild,
  temperature: wild,
  size: fc.oneof(wild, { arbitrary: fc.constantFrom(0.5, 1.5, 2.5), weight: 4 }),
  volts: wild,
})

describe('whatever an author writes and a position holds', () => {
  it('gives a range of numbers or a clear message, never an exception', () => {
    let worked = 0
    fc.assert(
      fc.property(
        text,
        fc.option(fc.constantFrom('ohm', 'V AC', 'm', '°C'), { nil: undefined }),
        facts,
        (limit, unit, told) => {
          const parsed = parseExpectation(limit, unit)
          if (!parsed.ok) return
          checkDimensions(parsed.expectation, new Map([['cable length', 'm']]))
          const values = new Map<string, Value>([
            ['cable length', { value: told.length, unit: 'm' }],
            ['temperature', { value: told.temperature, unit: '°C' }],
            ['conductor', { value: told.size, unit: 'mm²' }],
            ['supply', { value: told.volts, unit: 'V AC' }],
            ['direction', 'normal'],
          ])
          const resolved = resolveRange(parsed.expectation, { values }, { from: '', demo: false })
          if (!resolved.ok) {
            expect(resolved.message).not.toMatch(/NaN|undefined|Infinity/)
            return
          }
          worked += 1
          const { min, max, text: shown, working } = resolved.range
          for (const bound of [min, max]) if (bound !== null) expect(Number.isFinite(bound)).toBe(true)
          expect(`${shown} ${working}`).not.toMatch(/NaN|undefined|Infinity/)
        },
      ),
      { seed: 20, numRuns: 6000 },
    )
    expect(worked).toBeGreaterThan(500)
  })

  it('reads its own words again as the same range', () => {
    const bound = fc.integer({ min: 0, max: 99_999 }).map(counts => counts / 100)
    const unit = fc.constantFrom('V AC', 'ohm', 'kHz', 'mph', 'mm²', '°C', 'Mohm')
    fc.assert(
      fc.property(
        bound,
        bound,
        unit,
        fc.constantFrom('to', 'at most', 'at least', 'below', 'above'),
        (a, b, symbol, form) => {
          const [low, high] = [Math.min(a, b), Math.max(a, b)]
          const first = constant(form === 'to' ? `${low} to ${high} ${symbol}` : `${form} ${a} ${symbol}`)
          const again = constant(formatRange(first))
          expect(again).toMatchObject({ unit: first.unit })
          expect(again.min ?? 0).toBeCloseTo(first.min ?? 0, 6)
          expect(again.max ?? 0).toBeCloseTo(first.max ?? 0, 6)
          expect(again.strict).toBe(first.strict)
        },
      ),
      { seed: 21 },
    )
  })

  it('holds the middle of what it gives', () => {
    const percent = fc.integer({ min: 1, max: 90 })
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 10_000 }), percent, (middle, share) => {
        const range = constant(`${middle} V AC ± ${share} %`)
        expect(contains(range, middle)).toBe(true)
        expect(contains(range, middle * (1 + (share + 0.1) / 100))).toBe(false)
        expect(contains(range, middle * (1 - (share + 0.1) / 100))).toBe(false)
      }),
      { seed: 22 },
    )
  })
})

function constant(limit: string) {
  const parsed = parseExpectation(limit)
  if (!parsed.ok) throw new Error(`${limit}: ${parsed.problem.found}`)
  expect(isConstant(parsed.expectation)).toBe(true)
  const range = resolveConstant(parsed.expectation)
  if (!range) throw new Error(`${limit} comes to nothing`)
  return range
}
