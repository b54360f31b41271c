import { beforeAll, describe, expect, it } from 'vitest'
import {
  type CauseCounts,
  countsFor,
  type PastFault,
} from '../../../server/diagnosis/ranking/cause-counts.ts'
import { copyOfDemo } from '../../demo/copy.ts'
import type { Demo } from '../../demo/make.ts'

describe('past faults as the ranking counts them', () => {
  let demo: Pick<Demo, 'storage'>
  let past: PastFault[]
  beforeAll(async () => {
    demo = await copyOfDemo(5)
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

  it('counts anew after a unit was fitted elsewhere', () => {
    const { storage } = demo
    const here = past.find(({ units, siteId }) => units.length > 0 && siteId)
    const away = past.findLast(({ siteId }) => siteId !== here?.siteId)
    if (!here || !away) throw new Error('no two sites')
    const [fitted] = storage.positions.get(here.positionId).fitted
    if (!fitted) throw new Error('nothing is fitted')
    const situation = { ...here, id: null, units: [`${fitted.kind} ${fitted.serial}`] }
    const before = plain(storage.pastFaults.countsFor(situation))
    storage.units.remove(fitted.unitId, '2001-01-01T00:00:00.000Z')
    storage.units.fit({
      id: 'moved',
      unitId: fitted.unitId,
      positionId: away.positionId,
      fittedAt: '2001-01-02T00:00:00.000Z',
    })
    const counted = plain(storage.pastFaults.countsFor(situation))
    expect(counted).toEqual(plain(countsFor(storage.pastFaults.list(), situation)))
    expect(counted).not.toEqual(before)
  })

  it('counts a fault that was closed since, and none whose closing was taken back', () => {
    const { storage } = demo
    const [some] = past
    if (!some) throw new Error('no past fault')
    const before = plain(storage.pastFaults.countsFor(some))
    const closing = (id: string) => {
      const { fault, attendances } = storage.faults.get(some.id)
      const by = fault.recordedBy
      storage.faults.create({ ...fault, id, conditions: [{ name: 'weather', value: 'fog' }] })
      const [attended] = attendances
      if (!attended) throw new Error('nobody attended')
      storage.attendances.start({ ...attended, id: `at ${id}`, faultId: id, personId: by })
      const closure = {
        outcome: 'proven cause',
        cause: 'a/b',
        clearedItself: false,
        changed: '',
        words: '',
      } as const
      storage.closures.add(
        { ...closure, id: `end of ${id}`, faultId: id, attendanceId: `at ${id}`, by },
        { id: `signature of ${id}`, printedName: by, meaning: 'done' },
      )
    }
    const takenBack = () =>
      storage.transaction(() => {
        closing('never')
        expect(storage.pastFaults.countsFor(some).elsewhere).toBeDefined()
        throw new Error('no')
      })
    expect(takenBack).toThrow('no')
    expect(plain(storage.pastFaults.countsFor(some))).toEqual(before)
    for (const id of ['one more', 'and another']) {
      closing(id)
      const counted = plain(storage.pastFaults.countsFor(some))
      expect(counted).toEqual(plain(countsFor(storage.pastFaults.list(), some)))
      expect(counted).not.toEqual(before)
    }
    // Seen from elsewhere, it is the totals that hold it.
    const away = { ...some, id: null, siteId: 'elsewhere', positionId: 'elsewhere', units: [] }
    expect(plain(storage.pastFaults.countsFor(away))).toEqual(
      plain(countsFor(storage.pastFaults.list(), away)),
    )
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
