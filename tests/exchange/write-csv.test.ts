import { parse } from 'csv-parse/sync'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { csvRecord, guarded, isFormula, unguarded } from '../../server/exchange/write-csv.ts'

// Held against a general CSV reader. RFC 4180 (read in source): fields with line breaks, quotes and commas are quoted, a
// quote is doubled, records end with CRLF. What a spreadsheet takes for a formula: common practice, no published source.

describe('a record', () => {
  it('is read back cell by cell by a general reader, whatever stands in it', () => {
    const cell = fc.oneof(
      fc.string({ unit: 'binary' }),
      fc.string(),
      fc.constantFrom('"', ',', '\r\n', '\n', ' x ', ''),
    )
    fc.assert(
      fc.property(fc.array(cell, { minLength: 1, maxLength: 8 }), cells => {
        fc.pre(cells.length > 1 || cells[0] !== '')
        const [read] = parse(csvRecord(cells)) as string[][]
        expect(read?.map(unguarded)).toEqual(cells)
      }),
      { seed: 7 },
    )
  })

  it('ends with CRLF, and leaves empty what has no value', () =>
    expect(csvRecord(['a', null, 0])).toBe('a,,0\r\n'))
})

describe('the guard', () => {
  it.each([
    '=1+1',
    '+1+cmd|x!A1',
    '-2+3',
    '@SUM(1)',
    '\t=1',
    ' =1',
    '＝1',
    '-x',
    "=HYPERLINK('x')",
    '-1(2)',
    '-3 mV+cmd',
    '\r=1',
    '\u00a0=1',
    '\u200b=1',
    '\ufeff=1',
    '\u202e=1',
    '\u0000=1',
    '"=1',
    '“=1',
    "'=1",
    "''-2",
    '－1+1',
    '＋1',
    '＠SUM(1)',
    '﹦1',
    '−2+3',
  ])('puts an apostrophe before %j', text => expect(guarded(text)).toBe(`'${text}`))

  it.each(['-12.5', '+3', '-0,5', '-1e-3', '12 m 40 ch', 'dark', '–'])('leaves %j as it is', text =>
    expect(guarded(text)).toBe(text),
  )

  it('is taken off again, whatever the text was', () => {
    const lead = fc.array(fc.constantFrom("'", '"', ' ', '=', '+', '-', '@', '2', ' °C', 'x', '\u200b', '\t'))
    fc.assert(
      fc.property(lead, parts => {
        const text = parts.join('')
        expect(unguarded(guarded(text))).toBe(text)
      }),
      { seed: 7, numRuns: 2000 },
    )
  })

  it.each(['=1', ' @x', '＝1', '\u200b=1', '"=1'])('has %j for a formula, which is not brought in', text =>
    expect(isFormula(text)).toBe(true),
  )

  it.each(["'=1", '-2 °C', '+3', 'a=b', ''])('has %j for none', text => expect(isFormula(text)).toBe(false))

  it.each(['-2 °C', '-3.2 mV', '-0,5 V DC', '+3 %'])('guards %j, and gives it back', text => {
    expect(guarded(text)).toBe(`'${text}`)
    expect(unguarded(guarded(text))).toBe(text)
  })

  it('leaves numbers alone', () => expect(guarded(-12.5)).toBe('-12.5'))
})
