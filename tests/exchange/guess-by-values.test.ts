import { describe, expect, it } from 'vitest'
import { guessByValues } from '../../server/exchange/guess-by-values.ts'
import { fieldsOf, type Subject } from '../../server/exchange/subjects.ts'

const known = new Map([
  ['plate', new Set(['wh 3 u', 'wh 3 d'])],
  ['kind', new Set(['power module'])],
])
const guess = (subject: Subject, lines: string[][], columns: Record<string, number> = {}) => {
  const rows = lines.map((cells, n) => ({ line: n + 2, cells }))
  return guessByValues(fieldsOf(subject), { header: lines[0]?.map(() => '') ?? [], rows }, columns, known)
}

describe('a column without a telling name', () => {
  it('is known by names on record, also where a few are new', () => {
    const lines = [
      ['x', 'WH-3-U'],
      ['y', 'wh 3 d'],
      ['z', 'NEW-1'],
    ]
    expect(guess('past faults', lines)).toEqual({ plate: 1 })
  })

  it('of several dates the first event is the report', () => {
    const lines = [
      ['2021-03-01', '2021-02-28'],
      ['2021-03-05', '2021-03-05'],
    ]
    expect(guess('past faults', lines)).toEqual({ reportedAt: 1 })
  })

  it('is left open where two would do, or where figures may be anything', () => {
    expect(
      guess('past faults', [
        ['2021-03-01', '2021-02-28'],
        ['2021-03-01', '2021-03-05'],
      ]),
    ).toEqual({})
    expect(
      guess('past faults', [
        ['20210301', '7'],
        ['20210305', '8'],
      ]),
    ).toEqual({})
    expect(
      guess('units', [
        ['A1', 'B1'],
        ['A2', 'B2'],
      ]),
    ).toEqual({})
  })

  it('of serial numbers is the one with a different figure in each row', () => {
    const lines = [
      ['power module', 'S-1', 'P1'],
      ['power module', 'S-2', 'P1'],
    ]
    expect(guess('units', lines)).toEqual({ kind: 0, serial: 1 })
  })

  it('is never one that a name has given already', () => {
    expect(guess('past faults', [['x', 'WH-3-U']], { symptom: 1 })).toEqual({})
  })
})
