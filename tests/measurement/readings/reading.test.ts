import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Range } from '../../../server/measurement/limits/expectation.ts'
import { formatReading, parseReading, type Reading } from '../../../server/measurement/readings/reading.ts'
import { plain, range, value } from '../make.ts'

const supply = range(99, 121, 'V AC')
const contact = range(null, 0.5, 'ohm')
const insulation = range(1e6, null, 'ohm', { shown: 'Mohm' })

describe('a typed reading', () => {
  it.each<[string, string, Reading]>([
    ['0.08', 'ohm', value(0.08, 'ohm', 0.01)],
    ['0,08', 'ohm', value(0.08, 'ohm', 0.01)],
    ['.08', 'ohm', value(0.08, 'ohm', 0.01)],
    ['0,080', 'ohm', value(0.08, 'ohm', 0.001)],
    ['80m', 'ohm', value(0.08, 'ohm', 0.001)],
    ['80 mΩ', 'ohm', value(0.08, 'ohm', 0.001)],
    ['80 mohm', 'ohm', value(0.08, 'ohm', 0.001)],
    ['0R08', 'ohm', value(0.08, 'ohm', 0.01)],
    ['4k7', 'ohm', value(4700, 'ohm', 100)],
    ['2.2 M', 'Mohm', value(2.2e6, 'ohm', 1e5)],
    ['1.234,5', 'ohm', value(1234.5, 'ohm', 0.1)],
    ['1,234.5', 'ohm', value(1234.5, 'ohm', 0.1)],
    ['1,234,567', 'ohm', value(1_234_567, 'ohm', 1)],
    ['-0.2', 'V DC', value(-0.2, 'V DC', 0.1)],
    ['−0.2', 'V DC', value(-0.2, 'V DC', 0.1)],
    ['–0.2', 'V DC', value(-0.2, 'V DC', 0.1)],
    ['+96.4', 'V AC', value(96.4, 'V AC', 0.1)],
    ['96.40', 'V AC', value(96.4, 'V AC', 0.01)],
    ['96.4V', 'V AC', value(96.4, 'V AC', 0.1)],
    ['96.4 V AC', 'V AC', value(96.4, 'V AC', 0.1)],
    ['964e-1', 'V AC', value(96.4, 'V AC', 0.1)],
    ['5', 'Mohm', value(5e6, 'ohm', 1e6)],
    ['60', 'mph', value(26.8224, 'm/s', 0.44704)],
    ['974', 'ms', value(0.974, 's', 0.001)],
    ['65.25', 'kHz', value(65_250, 'Hz', 10)],
    ['-4', '°C', value(-4, '°C', 1)],
    ['0', 'V AC', value(0, 'V AC', 1)],
    ['OL', 'ohm', { kind: 'open', unit: 'ohm' }],
    ['o.l.', 'ohm', { kind: 'open', unit: 'ohm' }],
    ['0L', 'ohm', { kind: 'open', unit: 'ohm' }],
    ['.OL', 'ohm', { kind: 'open', unit: 'ohm' }],
    ['Open', 'ohm', { kind: 'open', unit: 'ohm' }],
    ['none', 'V AC', { kind: 'none', unit: 'V AC' }],
    ['No  reading', 'V AC', { kind: 'none', unit: 'V AC' }],
    ['>50', 'ohm', { kind: 'more than', value: 50, unit: 'ohm' }],
    ['> 20M', 'Mohm', { kind: 'more than', value: 2e7, unit: 'ohm' }],
    ['<0.1', 'ohm', { kind: 'less than', value: 0.1, unit: 'ohm' }],
    ['92-104', 'V AC', { kind: 'unstable', low: 92, high: 104, resolution: 1, unit: 'V AC' }],
    ['104 to 92 V', 'V AC', { kind: 'unstable', low: 92, high: 104, resolution: 1, unit: 'V AC' }],
    ['92.5–104', 'V AC', { kind: 'unstable', low: 92.5, high: 104, resolution: 0.1, unit: 'V AC' }],
    ['-0.2 to -0.1', 'V DC', { kind: 'unstable', low: -0.2, high: -0.1, resolution: 0.1, unit: 'V DC' }],
    ['80-95 mΩ', 'ohm', { kind: 'unstable', low: 0.08, high: 0.095, resolution: 0.001, unit: 'ohm' }],
    ['96-96', 'V AC', value(96, 'V AC', 1)],
    ['105.', 'V AC', value(105, 'V AC', 1)],
    ['≥50', 'ohm', { kind: 'more than', value: 50, unit: 'ohm' }],
    ['<= 0.1', 'ohm', { kind: 'less than', value: 0.1, unit: 'ohm' }],
    ['5 m to 7', 'V AC', { kind: 'unstable', low: 0.005, high: 0.007, resolution: 0.001, unit: 'V AC' }],
    ['80 mΩ to 95', 'ohm', { kind: 'unstable', low: 0.08, high: 0.095, resolution: 0.001, unit: 'ohm' }],
  ])('"%s" in %s is understood', (text, unit, reading) => {
    const parsed = parseReading(text, unit)
    expect(parsed).toMatchObject({ ok: true, reading })
  })

  it('says back what it understood, in the unit typed and in the one asked for', () => {
    const echo = (text: string, unit: string) => {
      const parsed = parseReading(text, unit)
      return parsed.ok ? plain(parsed.echo) : 'not understood'
    }
    expect(echo('80m', 'ohm')).toBe('80 mΩ (0.080 Ω)')
    expect(echo('96,4', 'V AC')).toBe('96.4 V AC')
    expect(echo('60 mph', 'km/h')).toBe('60 mph (97 km/h)')
    expect(echo('92-104', 'V AC')).toBe('92 to 104 V AC')
    expect(echo('>50', 'ohm')).toBe('more than 50 Ω')
  })

  it('asks whether a comma is a decimal point, and takes either answer', () => {
    const parsed = parseReading('1,234 Ω', 'ohm')
    if (parsed.ok || !('ask' in parsed)) throw new Error('nothing was asked')
    expect(parsed.ask.choices.map(choice => plain(choice.means))).toEqual(['1234 Ω', '1.234 Ω'])
    const answers = parsed.ask.choices.map(choice => parseReading(choice.text, 'ohm'))
    expect(answers).toMatchObject([
      { ok: true, reading: { value: 1234 } },
      { ok: true, reading: { value: 1.234 } },
    ])
  })

  it.each<[string, string, string[]]>([
    ['105..3', 'points', ['105.3 V AC', '3 to 105 V AC']],
    ['105..3 V', 'points', ['105.3 V AC', '3 to 105 V AC']],
    ['92--104', 'signs', ['92 to 104 V AC', '−104 to 92 V AC']],
    ['-5-3', 'signs', ['−5 to 3 V AC', '−5 to −3 V AC']],
    ['1,234-1,300', 'comma', ['1234 to 1300 V AC', '1.234 to 1.300 V AC']],
  ])('never takes "%s" for two values unasked: it asks about the %s, once', (text, about, means) => {
    const parsed = parseReading(text, 'V AC')
    if (parsed.ok || !('ask' in parsed)) throw new Error('nothing was asked')
    expect(parsed.ask.question).toContain(about)
    expect(parsed.ask.choices.map(choice => plain(choice.means))).toEqual(means)
    for (const choice of parsed.ask.choices) expect(parseReading(choice.text, 'V AC').ok).toBe(true)
  })

  it.each<[string, string, Range | null, string[]]>([
    ['80M', 'ohm', contact, ['80 MΩ', '80 mΩ']],
    ['80M', 'ohm', null, ['80 MΩ', '80 mΩ']],
    ['5m', 'Mohm', insulation, ['5 mΩ', '5 MΩ']],
    ['5m', 'Mohm', null, ['5 mΩ', '5 MΩ']],
    ['3M', 'V AC', supply, ['3 mV AC', '3 V AC']],
    ['>80M', 'ohm', contact, ['> 80 MΩ', '> 80 mΩ']],
  ])('asks what m or M means in "%s" (%s)', (text, unit, usual, means) => {
    const parsed = parseReading(text, unit, usual)
    if (parsed.ok || !('ask' in parsed)) throw new Error('nothing was asked')
    expect(parsed.ask.choices.map(choice => plain(choice.means))).toEqual(means)
    for (const choice of parsed.ask.choices) expect(parseReading(choice.text, unit, usual).ok).toBe(true)
  })

  it('does not ask where the expected range leaves no doubt', () => {
    expect(parseReading('80m', 'ohm', contact)).toMatchObject({ ok: true, reading: { value: 0.08 } })
    expect(parseReading('5M', 'ohm', insulation)).toMatchObject({ ok: true, reading: { value: 5e6 } })
  })

  it.each([
    ['96.4 V DC', 'V AC', 'voltage DC, and this check asks for voltage AC: give the reading in V AC'],
    ['3 Ω', 'V AC', 'resistance, and this check asks for voltage AC'],
    ['12 bananas', 'V AC', 'no unit known here: type the number in V AC'],
    ['abc', 'V AC', 'no number in it'],
    ['', 'V AC', 'Type the reading, such as 96.4 V AC'],
    ['Infinity', 'V AC', 'no number in it'],
    ['NaN', 'V AC', 'no number in it'],
    ['1e999', 'ohm', 'too large or too small'],
    ['1e15', 'Gohm', 'too large'],
    ['1234567890123456', 'ohm', '16 digits are more than a meter shows'],
    [`1${'0'.repeat(60)}`, 'ohm', 'too long'],
    ['1.2.3', 'ohm', 'marks in odd places'],
    ['--5', 'V AC', 'no number in it'],
    ['~50', 'V AC', 'is about a number: type what the meter shows'],
    ['ca. 50', 'V AC', 'such as 92 to 104'],
    ['1e-31', 'V AC', 'too small'],
    ['1e-15', 'mV AC', 'too small'],
    ['12,34,5', 'ohm', 'marks in odd places'],
    ['-300', '°C', 'nothing is colder'],
    ['5 K', '°C', 'does not go with °C'],
  ])('"%s" in %s is refused in plain words', (text, unit, words) => {
    const parsed = parseReading(text, unit)
    if (parsed.ok || !('error' in parsed)) throw new Error('it was not refused')
    expect(plain(parsed.error)).toContain(words)
  })

  it('never throws and never gives a number that is none, whatever is typed', () => {
    const text = fc.oneof(
      fc.string({ maxLength: 30 }),
      fc.string({ unit: fc.constantFrom(...'0123456789.,-− to<>mMkΩVACeEOL '), maxLength: 14 }),
    )
    fc.assert(
      fc.property(text, fc.constantFrom('ohm', 'V AC', 'Mohm', '°C', 'mph'), (typed, unit) => {
        const parsed = parseReading(typed, unit)
        if (!parsed.ok) return
        for (const number of Object.values(parsed.reading).filter(part => typeof part === 'number'))
          expect(Number.isFinite(number)).toBe(true)
        expect(parsed.echo).not.toMatch(/NaN|undefined|Infinity/)
      }),
      { seed: 5, numRuns: 3000 },
    )
  })

  it('survives the way to JSON and back', () => {
    for (const text of ['96.4', 'OL', 'none', '>50', '<0.1', '92-104']) {
      const parsed = parseReading(text, 'ohm')
      if (!parsed.ok) throw new Error(text)
      expect(JSON.parse(JSON.stringify(parsed.reading))).toEqual(parsed.reading)
    }
  })

  it('reads its own words again as the same reading', () => {
    const number = fc.integer({ min: 1, max: 999_999 }).map(counts => counts / 1000)
    fc.assert(
      fc.property(number, fc.constantFrom('ohm', 'V AC', 'V DC', 'A', 'Hz'), (typed, unit) => {
        const first = value(typed, unit, 0.001)
        const again = parseReading(formatReading(first), unit)
        if (!again.ok || again.reading.kind !== 'value') throw new Error(formatReading(first))
        expect(again.reading.value).toBeCloseTo(typed, 9)
        expect(again.reading.resolution).toBeCloseTo(0.001, 12)
      }),
      { seed: 6 },
    )
  })
})
