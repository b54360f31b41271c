import { parse } from 'csv-parse/sync'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { csvRecord, guarded } from '../../server/exchange/write-csv.ts'

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
        expect(read?.map(text => text.replace(/^'/, ''))).toEqual(cells.map(text => text.replace(/^'/, '')))
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
  ])('puts an apostrophe before %j', text => expect(guarded(text)).toBe(`'${text}`))

  it.each(['-12.5', '+3', '-3.2 mV', '-0,5 V DC', '-1e-3', '-40 °C', '12 m 40 ch', 'dark', '–'])(
    'leaves %j as it is',
    text => expect(guarded(text)).toBe(text),
  )

  it('leaves numbers alone', () => expect(guarded(-12.5)).toBe('-12.5'))
})
