import { describe, expect, it } from 'vitest'
import { countsFor, type PastFault, seasonOf, sumOf } from '../../../server/diagnosis/ranking/cause-counts.ts'

function fault(part: Partial<PastFault>): PastFault {
  return {
    id: 'f1',
    tree: 'dead',
    equipment: 'set',
    siteId: 's1',
    positionId: 'p1',
    cause: 'set/fuse',
    reportedAt: '2026-10-01T02:00:00.000Z',
    units: [],
    conditions: {},
    ...part,
  }
}

describe('counts for a situation', () => {
  it('put each fault on one level only', () => {
    const here = fault({ id: 'now', units: ['module 7'] })
    const counts = countsFor(
      [
        fault({ id: 'a' }),
        fault({ id: 'b', positionId: 'p2' }),
        fault({ id: 'c', positionId: 'p3', siteId: 's2' }),
        fault({ id: 'd', positionId: 'p4', siteId: 's2', units: ['module 7'] }),
        fault({ id: 'e', positionId: 'p2', units: ['module 7'] }),
      ],
      here,
    )
    expect([counts.position, counts.site, counts.elsewhere].map(sumOf)).toEqual([1, 1, 1])
    expect(counts.units).toEqual([{ unit: 'module 7', counts: new Map([['set/fuse', 2]]) }])
  })

  it('leave out the fault itself, faults without a cause, and other equipment', () => {
    const here = fault({ id: 'now' })
    const counts = countsFor(
      [here, fault({ id: 'a', cause: null }), fault({ id: 'b', equipment: 'other' })],
      here,
    )
    expect(sumOf(counts.position)).toBe(0)
  })

  it('take another symptom into account here, but not from other sites', () => {
    const here = fault({ id: 'now' })
    const counts = countsFor(
      [fault({ id: 'a', tree: 'wet' }), fault({ id: 'b', tree: 'wet', siteId: 's2', positionId: 'p9' })],
      here,
    )
    expect(sumOf(counts.position)).toBe(1)
    expect(sumOf(counts.elsewhere)).toBe(0)
  })

  it('count a condition among the faults elsewhere, the season too', () => {
    const away = { siteId: 's2', positionId: 'p9' }
    const counts = countsFor(
      [
        fault({ id: 'a', ...away, conditions: { weather: 'rain' } }),
        fault({ id: 'b', ...away, conditions: { weather: 'dry' }, reportedAt: '2026-06-01T00:00:00.000Z' }),
      ],
      fault({ id: 'now', conditions: { weather: 'rain' } }),
    )
    const seen = counts.conditions.map(({ name, value, counts: own }) => [name, value, sumOf(own)])
    expect(seen).toEqual([
      ['season', 'autumn', 1],
      ['weather', 'rain', 1],
    ])
  })
})

describe('seasonOf', () => {
  it('goes by whole months', () => {
    const months = ['01', '02', '03', '05', '06', '08', '09', '11', '12']
    expect(months.map(month => seasonOf(`2026-${month}-15`))).toEqual([
      'winter',
      'winter',
      'spring',
      'spring',
      'summer',
      'summer',
      'autumn',
      'autumn',
      'winter',
    ])
  })
})
