import { describe, expect, it } from 'vitest'
import { walk } from '../../server/walk/place.ts'
import { placeList } from '../../server/walk/place-list.ts'
import { makeSite, type Site } from '../support/site.ts'
import { attend, find, identify, report } from '../support/walking.ts'

// Checks against the tree of the small test knowledge, read by eye: supply, loop resistance, loop insulation, telltale.
describe('place-keeping', () => {
  const marks = (site: Site, fault: string) => {
    const { knowledge } = site.deps.library.current()
    const record = site.deps.storage.faults.get(fault)
    const rows = placeList(knowledge, 'dead', walk(knowledge, 'dead', record.findings))
    return rows.map(row => `${row.title}: ${row.kind}`)
  }

  it('marks done, current and open checks', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    expect(marks(site, fault)).toEqual([
      'Supply: done',
      'Loop resistance: current',
      'Loop insulation: open',
      'Telltale: open',
    ])
  })

  it('marks what was skipped, and what the walk can’t come to any more', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const reason = 'saw it from the gate'
    await wren.post(`/faults/${fault}/departures`, { from: 'dead#supply', to: 'dead#telltale', reason })
    expect(marks(site, fault)).toEqual([
      'Supply: skipped',
      'Telltale: current',
      'Loop resistance: not applicable',
      'Loop insulation: not applicable',
    ])
    await find(wren, fault, 'telltale', '=dark')
    await identify(wren, fault)
    expect(marks(site, fault)[2]).toBe('Transmitter module failed: current')
  })
})
