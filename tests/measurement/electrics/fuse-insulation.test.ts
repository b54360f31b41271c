import { describe, expect, it } from 'vitest'
import { fuseUnderLoad, refitCounts } from '../../../server/measurement/electrics/fuse.ts'
import {
  insulationGate,
  insulationTest,
  insulationTests,
  wetBesideDry,
} from '../../../server/measurement/electrics/insulation.ts'
import { Impossible } from '../../../server/measurement/readings/impossible.ts'
import { plain } from '../make.ts'

describe('a fuse', () => {
  it('under load carries, may blow or blows', () => {
    const says = [1.8, 2, 2.5, 3, 3.5, 4.2, 9].map(load => fuseUnderLoad(2, load).says)
    expect(says).toEqual([
      'carries within rating',
      'carries within rating',
      'carries above rating',
      'carries above rating',
      'may blow',
      'blows',
      'blows',
    ])
  })

  it('that blew is a symptom until what blew it is known', () => {
    expect(refitCounts(null)).toMatchObject({ counts: false })
    expect(refitCounts('  ').because).toContain('Find what blew it')
    expect(refitCounts('chafed core in the disconnection box')).toMatchObject({ counts: true })
  })
})

describe('insulation', () => {
  it('have their gate', () => {
    const ready = { bothEndsDisconnected: true, electronicsConnected: false, dead: true, endsOff: null }
    expect(insulationGate(ready)).toEqual([])
    expect(insulationGate({ ...ready, bothEndsDisconnected: false })[0]).toContain('take both ends off')
    expect(insulationGate({ ...ready, electronicsConnected: true })[0]).toContain('destroy them')
    expect(
      insulationGate({ ...ready, bothEndsDisconnected: false, electronicsConnected: true, dead: false }),
    ).toHaveLength(3)
  })

  it('say which end must be off where a loop may stay on', () => {
    const [reason] = insulationGate({
      bothEndsDisconnected: false,
      electronicsConnected: false,
      dead: true,
      endsOff: 'module end off, loop left on',
    })
    expect(reason).toContain('Not confirmed: module end off, loop left on')
  })

  it('have a row for every circuit up to 1000 V', () => {
    expect(insulationTests()).toHaveLength(3)
    expect(insulationTests()[0]).not.toHaveProperty('upTo')
    expect(() => insulationTest(1200)).toThrow(Impossible)
    expect(() => insulationTest(Number.NaN)).toThrow(Impossible)
  })

  it('tell wet from dry', () => {
    expect(wetBesideDry(50e6, 20e6)).toBeNull()
    expect(plain(wetBesideDry(50e6, 0.2e6))).toContain('falls to 200 kΩ from 50 MΩ dry')
    expect(wetBesideDry(50e6, 0)).toContain('nothing is left')
    expect(() => wetBesideDry(0, 1)).toThrow(Impossible)
  })
})
