import { describe, expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'
import { attend, find, report } from '../../support/walking.ts'

describe('the last readings of a check', () => {
  it('stand at its field: three here and three at the look-alikes, newest first, with date and verdict', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const readings: [string, string][] = [
      ...['101', '102', '103', '104'].map((volts): [string, string] => ['up', volts]),
      ['down', '60'],
    ]
    for (const [position, volts] of readings) {
      const fault = await report(wren, { position })
      await attend(wren, fault)
      await find(wren, fault, 'supply', volts)
    }
    const fault = await report(wren)
    await attend(wren, fault)
    const { text } = await wren.get(`/faults/${fault}/checks/dead/supply`)
    const said = text.slice(text.indexOf('Last readings here'))
    expect(said).toMatch(/104 V AC In range Mon 2 Nov 2026.*103 V AC In range.*102 V AC In range/)
    expect(said).not.toContain('101 V AC')
    expect(said).toMatch(/60 V AC Below Mon 2 Nov 2026, 01:00, at Overspeed loops, down/)
  })

  it('leave out what was corrected, at once', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    const address = `/faults/${fault}/checks/dead/supply`
    expect((await wren.get(address)).text).toMatch(/Last readings here 110 V AC/)
    const [first] = site.deps.storage.faults.get(fault).findings
    await find(wren, fault, 'supply', '112', { replaces: first?.id ?? '', reason: 'read again' })
    expect((await wren.get(address)).text).toMatch(
      /Last readings here 112 V AC In range [^.]*, 01:0\d(?! 110)/,
    )
  })
})
