import { describe, expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'
import { attend, find, identify, report } from '../../support/walking.ts'

const swap = {
  action: 'unit replaced',
  words: 'module dead',
  kind: 'transmitter module',
  serialOut: 'T100',
  serialIn: 'T200',
  variantIn: 'N1',
  asFound0: 'A',
  asLeft0: 'A',
}

async function atModule() {
  const site = await makeSite()
  const { storage } = site.deps
  storage.units.create({ id: 'spare', kind: 'transmitter module', serial: 'T200', variant: 'N1' })
  const wren = await site.as('wren')
  const moduleFault = async () => {
    const fault = await report(wren)
    await attend(wren, fault)
    await wren.post(`/faults/${fault}/departures`, {
      from: 'dead#supply',
      to: 'dead#telltale',
      reason: 'seen',
    })
    await find(wren, fault, 'telltale', '=dark')
    await identify(wren, fault)
    return fault
  }
  return { site, storage, wren, moduleFault }
}

describe('a unit about to be fitted', () => {
  it('is refused when a workshop scrapped it, whoever asks', async () => {
    const { storage, wren, moduleFault } = await atModule()
    const fault = await moduleFault()
    storage.workshopVisits.add({ id: 'w', unitId: 'spare', by: 'isla', result: 'scrapped', words: 'burnt' })
    const refused = await wren.post(`/faults/${fault}/repairs`, swap)
    expect([refused.status, refused.text.includes('T200 is scrapped: burnt (Isla Verrin')]).toEqual([
      400,
      true,
    ])
    expect(storage.faults.get(fault).repairs).toEqual([])
  })

  it('may be fitted once it is released', async () => {
    const { storage, wren, moduleFault } = await atModule()
    const fault = await moduleFault()
    const hold = { unitId: 'spare', by: 'isla', reason: 'comes back' }
    storage.unitLife.hold({ ...hold, id: 'h1', state: 'kept apart' })
    expect((await wren.post(`/faults/${fault}/repairs`, swap)).status).toBe(400)
    storage.unitLife.hold({ ...hold, id: 'h2', state: 'released' })
    expect((await wren.post(`/faults/${fault}/repairs`, swap)).status).toBe(303)
  })

  it('is asked about when it was taken out twice soon after fitting, until a workshop repaired it', async () => {
    const { site, storage, wren, moduleFault } = await atModule()
    // T200 goes in and out again for a fault, twice.
    for (const [out, into] of [
      ['T100', 'T200'],
      ['T200', 'T100'],
      ['T100', 'T200'],
      ['T200', 'T100'],
    ] as const) {
      const fault = await moduleFault()
      const sent = await wren.post(`/faults/${fault}/repairs`, { ...swap, serialOut: out, serialIn: into })
      expect(sent.status).toBe(303)
      site.pass(2)
    }
    expect(storage.unitLife.removals('spare', 90)).toEqual({ times: 2, soon: 2 })
    const fault = await moduleFault()
    const asked = await wren.post(`/faults/${fault}/repairs`, swap)
    expect(asked.status).toBe(400)
    expect(asked.text).toContain(
      'T200 was taken out for a fault 2 times, 2 of them within 90 days of fitting',
    )
    storage.workshopVisits.add({
      id: 'w',
      unitId: 'spare',
      by: 'isla',
      result: 'repaired',
      words: 'capacitor',
    })
    expect((await wren.post(`/faults/${fault}/repairs`, swap)).status).toBe(303)
  })
})
