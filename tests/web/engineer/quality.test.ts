import { beforeEach, describe, expect, it } from 'vitest'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, close, find, report } from '../../support/walking.ts'

// What counts as a defect and what it bends: our own rules, common practice, no published source.

let site: Site
let isla: Visitor
beforeEach(async () => {
  site = await makeSite()
  isla = await site.as('isla')
})

/** "Closed without a cause 1 3 33 %" */
const line = (text: string, title: string) =>
  new RegExp(`${title} (\\d+) (\\d+) (\\S+( %)?) `).exec(text)?.slice(1, 3).map(Number)

describe('data quality', () => {
  it('counts each defect of each fault, with how many were looked at', async () => {
    const wren = await site.as('wren')
    const first = await report(wren)
    await report(wren) // again within the hour
    site.pass(120)
    const late = await site.as('wren')
    await report(late, { reportedAt: '2026-10-30T08:00' }) // two days before it was entered
    await attend(late, first)
    await close(late, first, 'Wren Aldous', {
      outcome: 'not completed',
      words: 'Called away; a wet joint, perhaps.',
    })
    const page = await (await site.as('isla')).get('/quality')
    expect(line(page.text, 'Closed without a cause')).toEqual([0, 3])
    expect(line(page.text, 'Cause in words only')).toEqual([1, 3])
    expect(line(page.text, 'Entered more than a day late')).toEqual([1, 3])
    expect(line(page.text, 'Twice within the hour')).toEqual([1, 3])
    expect(line(page.text, 'Impossible times')).toEqual([0, 3])
    expect(page.text).toContain('Rates and repeat shares are too high')
    expect(page.text).toContain('n = 3')
    expect(page.html).toContain(`/faults/${first}`)
  })

  it('does not call it a gap that no cause was found where nothing was wrong', async () => {
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await close(wren, fault, 'Wren Aldous', { outcome: 'not reproduced', clearedItself: 'yes' })
    expect(site.deps.storage.faults.summary(fault).outcome).toBe('not reproduced')
    const page = await isla.get('/quality')
    expect([line(page.text, 'Closed without a cause'), line(page.text, 'Cause in words only')]).toEqual([
      [0, 1],
      [0, 1],
    ])
  })

  it('counts readings without an instrument and with one out of date, on rounds too', async () => {
    const { instruments } = site.deps.storage
    instruments.create({ id: 'm1', kind: 'multimeter', serial: '7', calibrationDue: null, functions: [] })
    instruments.addCalibration({
      id: 'c1',
      instrumentId: 'm1',
      due: '2026-10-01',
      at: '2025-10-01T00:00:00.000Z',
    })
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    const visit = { id: 'v', positionId: 'up', tree: 'dead', by: 'wren', plate: 'WH-3-U' }
    site.deps.storage.visits.start({ ...visit, editionId: site.deps.library.current().id })
    const finding = site.deps.storage.faults.get(fault).findings[0]
    if (finding?.kind !== 'reading') throw new Error('no reading')
    const { byName: _b, seq: _s, at: _a, attendanceId: _t, ...own } = finding
    site.deps.storage.visits.addFinding({ ...own, id: 'vf', visitId: 'v', instrument: 'm1' })
    const page = await isla.get('/quality')
    expect(line(page.text, 'Readings with an instrument out of date')).toEqual([1, 2])
    expect(line(page.text, 'Readings with no instrument named')).toEqual([1, 2])
    expect(page.html).toContain('/rounds/v')
    expect(page.text).toContain('multimeter 7')
  })

  it('holds to its window, and is for engineers', async () => {
    const wren = await site.as('wren')
    await report(wren, { reportedAt: '2025-01-02T08:00' })
    expect((await isla.get('/quality')).text).toContain('n = 0')
    expect((await isla.get('/quality?window=1096')).text).toContain('n = 1')
    expect((await isla.get('/quality?window=all')).text).toContain('2 January 2025')
    expect((await wren.get('/quality')).status).toBe(403)
  })
})
