import { describe, expect, it } from 'vitest'
import { parseDate, possibleOrders, settleOrder } from '../../server/exchange/parse-date.ts'
import { parseNumber, settleMark } from '../../server/exchange/parse-number.ts'
import { type HowToRead, parseRows } from '../../server/exchange/parse-rows.ts'
import { fieldsOf, guessColumns, subjects } from '../../server/exchange/subjects.ts'
import type { Cell } from '../../server/exchange/table.ts'

// Dates: ISO 8601 for the year-first forms (read in source); the others are common practice, no published source.

const date = (text: string, order: 'day first' | 'month first' = 'day first') => {
  const parsed = parseDate(text, order)
  return parsed.ok ? (parsed.zoned ?? parsed.local) : parsed.reason
}

function orderOf(texts: string[]) {
  const settled = settleOrder()
  settled.add(texts)
  return settled.order()
}

describe('dates', () => {
  it.each([
    ['2024-03-05', '2024-03-05T00:00'],
    ['2024-03-05 14:30', '2024-03-05T14:30'],
    ['2024-03-05T14:30:59', '2024-03-05T14:30'],
    ['2024-03-05T14:30:00Z', '2024-03-05T14:30:00.000Z'],
    ['2024-03-05T14:30:00+01:00', '2024-03-05T13:30:00.000Z'],
    ['05/03/2024', '2024-03-05T00:00'],
    ['5.3.24 7.05', '2024-03-05T07:05'],
    ['5 Mar 2024', '2024-03-05T00:00'],
    ['05-March-2024 11:05 pm', '2024-03-05T23:05'],
    ['29/02/2024', '2024-02-29T00:00'],
  ])('%s is read as %s', (text, read) => expect(date(text)).toBe(read))

  it('with the month first are read so', () =>
    expect(date('03/05/2024 12:15 am', 'month first')).toBe('2024-03-05T00:15'))

  it.each([
    '29/02/2023',
    '31.04.2024',
    '2024-13-01',
    '2024-03-05 25:10',
    '5 Nonsense 2024',
    '13:70 05/03/2024',
    '45356',
    'soon',
  ])('%s is none', text => expect(parseDate(text, 'day first').ok).toBe(false))

  it('settle the order where one of them can', () => {
    expect(orderOf(['03/04/2024', '13/04/2024'])).toBe('day first')
    expect(orderOf(['03/04/2024', '04/13/2024'])).toBe('month first')
    expect(orderOf(['03/04/2024', '04/04/2024'])).toBeNull()
    expect(orderOf(['13/04/2024', '04/13/2024'])).toBe('mixed')
    expect(orderOf(['2024-03-04', '5 Mar 2024'])).toBe('day first')
    expect(possibleOrders('31/30/2024')).toEqual([])
    expect(orderOf(['31/30/2024', '13/04/2024'])).toBe('day first')
  })
})

describe('numbers', () => {
  it.each([
    ['12.5', 'point', '12.5'],
    ['1,234.5', 'point', '1234.5'],
    ['12,5', 'comma', '12.5'],
    ['1.234,5', 'comma', '1234.5'],
    ['1 234', 'point', '1234'],
    ['−3', 'point', '-3'],
    ['12,5', 'point', null],
    ['1.2.3', 'comma', null],
    ['NaN', 'point', null],
    ['1e5', 'point', null],
    ['', 'point', null],
  ] as const)('“%s” with a decimal %s is %s', (text, mark, read) =>
    expect(parseNumber(text, mark)).toBe(read),
  )

  it('of a workbook are what they are, whatever the mark', () =>
    expect(parseNumber(1.5, 'comma')).toBe('1.5'))

  it('show their mark', () => {
    const guessMark = (cells: Cell[]) => {
      const settled = settleMark()
      settled.add(cells)
      return settled.mark()
    }
    expect(guessMark(['12,5', '7', '120'])).toBe('comma')
    expect(guessMark(['12.5', '1,200.5', 'x'])).toBe('point')
  })
})

describe('columns', () => {
  it('are known by their usual names, each taken once', () => {
    const columns = guessColumns(fieldsOf('past faults'), [
      'Fault No.',
      'PLATE CODE',
      'Date',
      'Time',
      'Description',
      'Action taken',
      'Date (closed)',
    ])
    expect(columns).toEqual({
      reference: 0,
      plate: 1,
      reportedAt: 2,
      reportedTime: 3,
      symptom: 4,
      words: 5,
      closedAt: undefined,
    })
    expect(new Set(Object.values(columns)).size).toBe(Object.values(columns).length)
  })
})

const how: HowToRead = {
  columns: { plate: 0, reportedAt: 1, reportedTime: 2, symptom: 3, words: 4 },
  dateOrder: 'day first',
  decimalMark: 'point',
  toUtc: local => `${local}:00.000Z`,
  now: new Date('2026-11-02T01:00:00.000Z'),
  facts: new Map(),
}
const rowsOf = (...cells: (string | number | { local: string })[][]) =>
  cells.map((row, n) => ({ line: n + 2, cells: row }))

describe('rows', () => {
  it('join a date with the time beside it, as text or as a workbook keeps it', () => {
    const { good, bad } = parseRows(
      rowsOf(
        ['A1', '05/03/2024', '14:30', 'dark', ''],
        ['A1', { local: '2024-03-05' }, 0.604166666666667, 'dark', ''],
        ['A1', { local: '2024-03-05' }, { local: '1899-12-31T14:30' }, 'dark', ''],
      ),
      fieldsOf('past faults'),
      how,
    )
    expect(bad).toEqual([])
    expect(good.map(row => row.values.get('reportedAt'))).toEqual(Array(3).fill('2024-03-05T14:30:00.000Z'))
  })

  it.each([
    ['26/11/0026', 'give a day from 1990 on'],
    ['0026-11-26T10:00Z', 'give a day from 1990 on'],
    ['31/12/1989', 'give a day from 1990 on'],
    ['04/11/2026', 'that is still to come'],
    ['31.12.9999', 'that is still to come'],
    ['9999-12-31 10:00+02:00', 'that is still to come'],
    ['31/02/2026', '“31/02/2026”: there is no such day or time'],
    ['yesterday', '“yesterday” is no date'],
  ])('with the date %s are bad: %s', (date, reason) => {
    const { good, bad } = parseRows(rowsOf(['A1', date, '', 'dark', '']), fieldsOf('past faults'), how)
    expect([good, bad]).toEqual([[], [{ line: 2, reason: `Reported: ${reason}.` }]])
  })

  it.each([
    ['1989-12-31', 'Fitted on', []],
    ['1949-12-31', 'Fitted on', ['Fitted on: give a day from 1950 on.']],
    ['2027-01-01', 'Fitted on', ['Fitted on: that is still to come.']],
    ['2027-01-01', 'Out of service since', []],
    ['2099-01-01', 'Out of service since', ['Out of service since: that is more than ten years ahead.']],
    ['0026-01-01', 'Day', ['Day: give a day from 1950 on.']],
  ])('take the day %s as %s or say why not', (day, title, reasons) => {
    const fields = subjects.flatMap(subject => fieldsOf(subject)).filter(field => field.title === title)
    const columns = Object.fromEntries(fields.map(field => [field.name, 0]))
    const wanted = fields.map(field => ({ ...field, required: false }))
    const { bad } = parseRows(rowsOf([day]), wanted, { ...how, columns })
    expect(bad.map(row => row.reason)).toEqual(reasons)
  })

  it('are named with every reason, formulas among them; our own guard is taken off', () => {
    const { good, bad } = parseRows(
      rowsOf(['', 'soon', '', 'dark', '=cmd|x'], ['007', '05/03/2024', '', "'=1+1 on the label", '-12']),
      fieldsOf('past faults'),
      how,
    )
    expect(bad).toEqual([
      {
        line: 2,
        reason: 'Plate is empty; Reported: “soon” is no date; What was done: it begins like a formula.',
      },
    ])
    expect([
      good[0]?.values.get('plate'),
      good[0]?.values.get('symptom'),
      good[0]?.values.get('words'),
    ]).toEqual(['007', '=1+1 on the label', '-12'])
  })
})
