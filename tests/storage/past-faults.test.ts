import { beforeAll, describe, expect, it } from 'vitest'
import { type CauseCounts, countsFor, type PastFault } from '../../server/diagnosis/cause-counts.ts'
import { type Demo, makeDemo } from '../demo/make.ts'

describe('past faults as the ranking counts them', () => {
  let demo: Demo
  let past: PastFault[]
  beforeAll(async () => {
    demo = await makeDemo(3)
    past = demo.storage.pastFaults.list()
  })

  it('lists every closed fault with the units fitted then', () => {
    expect(past.length).toBeGreaterThan(300)
    expect(past.every(fault => fault.units.length > 0)).toBe(true)
  })

  it('counts for any fault exactly as counting all of them would', () => {
    for (const fault of past) {
      expect(plain(demo.storage.pastFaults.countsFor(fault))).toEqual(plain(countsFor(past, fault)))
    }
  })

  it('counts for a position that has no fault on record yet', () => {
    const [some] = past
    if (!some) throw new Error('no past fault')
    const fresh = { ...some, id: null, units: [], conditions: {} }
    expect(plain(demo.storage.pastFaults.countsFor(fresh))).toEqual(plain(countsFor(past, fresh)))
  })
})

/** Maps in the order of their keys, so that they compare by content. */
function plain(counts: CauseCounts) {
  const sorted = (map: ReadonlyMap<string, number>) => [...map].sort(([a], [b]) => (a < b ? -1 : 1))
  return {
    elsewhere: sorted(counts.elsewhere),
    site: sorted(counts.site),
    position: sorted(counts.position),
    units: counts.units.map(one => [one.unit, sorted(one.counts)]),
    conditions: counts.conditions.map(one => [one.name, one.value, sorted(one.counts)]),
  }
}
