import { describe, expect, it } from 'vitest'
import { differences, type Records, type UnitChange } from '../../server/walk/unit-change.ts'

// Invented units. That a unit goes in like for like, compared by its own label, is common practice, no published source.

const change: UnitChange = {
  kind: 'transmitter module',
  serialOut: '16-18190',
  serialIn: '16-20001',
  variantIn: 'N1',
  settings: [{ name: 'timing link', asFound: 'A', asLeft: 'A' }],
}
const here = { serial: '16-18190', variant: 'N1', place: 'Up starter' }
const records: Records = { here, out: here, into: null }

const asked = (more: Partial<UnitChange>, known: Partial<Records> = {}) =>
  differences({ ...change, ...more }, { ...records, ...known }).map(one => one.says)

describe('a unit change', () => {
  it('that agrees with the record asks nothing, whatever the spaces and capitals', () => {
    expect(asked({})).toEqual([])
    expect(asked({ serialOut: ' 16 - 18190', variantIn: 'n1' })).toEqual([])
    expect(asked({}, { here: null, out: null })).toEqual([])
  })

  it('asks about a serial number out that is not the one on record', () => {
    expect(asked({ serialOut: '16-18199' })).toEqual([
      'The transmitter module on record here is 16-18190. You read 16-18199.',
    ])
    const elsewhere = { serial: '16-18190', variant: 'N1', place: 'Down distant' }
    expect(asked({}, { here: null, out: elsewhere })).toEqual([
      '16-18190 is on record as fitted at Down distant.',
    ])
  })

  it('asks about a unit going in that the record has elsewhere or as another variant', () => {
    const into = { serial: '16-20001', variant: 'R1', place: 'Down distant' }
    expect(asked({}, { into })).toEqual([
      '16-20001 is on record as fitted at Down distant.',
      '16-20001 is on record as R1. You chose N1.',
    ])
  })

  it('asks about what is not like for like: another variant, another setting', () => {
    expect(asked({ variantIn: 'N2' })[0]).toContain('N1 was fitted here, and N2 goes in')
    expect(asked({ settings: [{ name: 'timing link', asFound: 'A', asLeft: 'B' }] })).toEqual([
      'timing link: the old unit had A, the new one is left at B.',
    ])
  })

  it('asks anew when what was confirmed is changed', () => {
    const [one] = differences({ ...change, serialOut: '16-18199' }, records)
    const [other] = differences({ ...change, serialOut: '16-18198' }, records)
    expect(one?.key).not.toBe(other?.key)
  })
})
