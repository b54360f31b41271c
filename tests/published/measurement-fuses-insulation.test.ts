import { describe, expect, it } from 'vitest'
import { fuseCurrents } from '../../server/measurement/electrics/fuse.ts'
import { insulationTest } from '../../server/measurement/electrics/insulation.ts'

describe('fuses', () => {
  // gG conventional currents, IEC 60269-1 (values from memory): Inf/In, If/In, hours.
  it.each([
    [2, 1.5, 2.1, 1],
    [4, 1.5, 2.1, 1],
    [6, 1.5, 1.9, 1],
    [10, 1.5, 1.9, 1],
    [16, 1.25, 1.6, 1],
    [63, 1.25, 1.6, 1],
    [100, 1.25, 1.6, 2],
    [200, 1.25, 1.6, 3],
    [500, 1.25, 1.6, 4],
  ])('of %s A gG carry %s and blow at %s times their rating', (rating, carried, blown, hours) => {
    const currents = fuseCurrents(rating)
    expect(currents.nonFusing / rating).toBeCloseTo(carried, 12)
    expect(currents.fusing / rating).toBeCloseTo(blown, 12)
    expect(currents.blows).toBe(hours * 3600)
  })

  it('of the miniature kind hold 1.5 and blow at 2.1 times their rating', () => {
    // IEC 60127 (values from memory): 1.5 for an hour; 2.1 within 30 minutes (quick) or 2 minutes (time-lag).
    const quick = fuseCurrents(2, 'miniature quick')
    const slow = fuseCurrents(2, 'miniature time-lag')
    expect([quick.nonFusing, quick.fusing, quick.carries, quick.blows]).toEqual([3, 4.2, 3600, 1800])
    expect(slow.blows).toBe(120)
  })
})

describe('insulation', () => {
  it('has the rows of BS 7671:2018 Table 64', () => {
    // Secondary: two published summaries. 250 V and 0.5 MΩ; 500 V and 1 MΩ; 1000 V and 1 MΩ.
    expect(insulationTest(24, true)).toMatchObject({ testVoltage: 250, minimum: 0.5e6 })
    expect(insulationTest(24)).toMatchObject({ testVoltage: 500, minimum: 1e6 })
    expect(insulationTest(110)).toMatchObject({ testVoltage: 500, minimum: 1e6 })
    expect(insulationTest(500)).toMatchObject({ testVoltage: 500, minimum: 1e6 })
    expect(insulationTest(650)).toMatchObject({ testVoltage: 1000, minimum: 1e6 })
  })
})
