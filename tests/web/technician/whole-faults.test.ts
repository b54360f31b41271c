import { describe, expect, it } from 'vitest'
import { makeSite, people } from '../../support/site.ts'
import { attend, close, find, identify, prove, report, restoreAll } from '../../support/walking.ts'

describe('a whole fault', () => {
  it('goes from the report through cause, repair and proof to the signed record and the history', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    expect((await attend(wren, fault)).location).toBe(`/faults/${fault}/resume`)
    const first = await wren.open(`/faults/${fault}/next`)
    expect(first.text).toContain('Hold the probes on S1 and S2')
    expect(first.text).toContain('Demo value')

    await find(wren, fault, 'supply', 'none')
    const found = await wren.get(`/faults/${fault}/checks/dead/supply`)
    expect(found.text).toContain('Nothing arrives')
    expect(found.text).toContain('Cause: Supply fuse blown')

    expect((await wren.open(`/faults/${fault}/next`)).text).toContain('Find why it blew')

    const repair = {
      action: 'fuse replaced',
      words: 'Cut back, same rating fitted.',
      blewIt: 'a strand across S2',
    }
    await wren.post(`/faults/${fault}/repairs`, repair)
    expect((await close(wren, fault, people.wren.name, { outcome: 'proven cause' })).text).toContain(
      'Not proved yet',
    )

    await prove(wren, fault, 'supply', '110')
    await wren.post(`/faults/${fault}/proof/symptom`, { word: 'gone' })
    const closed = await close(wren, fault, people.wren.name, { outcome: 'proven cause', changed: 'fuse' })
    expect(closed.location).toBe(`/faults/${fault}/record`)

    const record = await wren.get(`/faults/${fault}/record`)
    expect(record.text).toContain('Supply fuse blown')
    expect(record.text).toContain('Signed: Wren Aldous')
    expect(record.text).toContain(`Trail at ${site.deps.storage.trail.head()?.hash.slice(0, 16)}`)
    const history = await wren.get('/positions/up')
    expect(history.text).toContain('Supply fuse blown')
  })

  it('strikes a corrected finding through, says who and why, and stands where the right one leads', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '11', { confirmed: '11' })
    expect((await wren.get(`/faults/${fault}/next`)).location).toBe(`/faults/${fault}/end`)
    const [old] = site.deps.storage.faults.get(fault).findings
    await find(wren, fault, 'supply', '110', { replaces: old?.id ?? '', reason: 'a digit was missing' })
    const page = await wren.get(`/faults/${fault}/checks/dead/supply`)
    expect(page.html).toMatch(/<del>11.V.AC<\/del>/)
    expect(page.text).toContain('Corrected by Wren Aldous')
    expect(page.text).toContain('a digit was missing')
    expect(page.text).toContain('Go on: Loop resistance')
  })

  it('lets the technician leave the path with a reason, and keeps that as a deviation', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const refused = await wren.post(`/faults/${fault}/departures`, {
      from: 'dead#supply',
      to: 'dead#telltale',
      reason: '',
    })
    expect(refused.status).toBe(400)
    expect(refused.text).toContain('Say why you choose another check')
    await wren.post(`/faults/${fault}/departures`, {
      from: 'dead#supply',
      to: 'dead#telltale',
      reason: 'saw it from the gate',
    })
    expect((await wren.open(`/faults/${fault}/next`)).text).toContain('Look at the telltale')
    expect((await wren.get(`/faults/${fault}/record`)).text).toContain('saw it from the gate')
  })

  it('lets the technician choose another row against the verdict', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '98')
    const [old] = site.deps.storage.faults.get(fault).findings
    const fields = { replaces: old?.id ?? '', row: 'in range', reason: 'the meter reads 2 V low' }
    await find(wren, fault, 'supply', '98', fields)
    expect((await wren.get(`/faults/${fault}/checks/dead/supply`)).text).toContain('Go on: Loop resistance')
  })

  it('opens the walk again when a proof fails, with that cause ruled out', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', 'none')
    await identify(wren, fault)
    await wren.post(`/faults/${fault}/repairs`, {
      action: 'fuse replaced',
      words: 'same rating',
      blewIt: 'a strand across S2',
    })
    await prove(wren, fault, 'supply', '60')
    const failed = await wren.get(`/faults/${fault}/proof`)
    expect(failed.text).toContain('failed')
    await wren.post(`/faults/${fault}/rejections`, { reason: 'still 60 V with a whole fuse' })
    const choice = await wren.open(`/faults/${fault}/next`)
    expect(choice.text).toContain('The cause before was ruled out')
    expect((await wren.get(`/faults/${fault}/status`)).text).toContain('Ruled out Supply fuse blown')
    const from = 'choose:small-transmitter/supply-fuse-blown'
    await wren.post(`/faults/${fault}/departures`, { from, to: 'dead#telltale', reason: 'next on the list' })
    expect((await wren.open(`/faults/${fault}/next`)).text).toContain('Look at the telltale')
  })

  it('goes on to a second fault when the symptom stays after a proved repair', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', 'none')
    await identify(wren, fault)
    await wren.post(`/faults/${fault}/repairs`, {
      action: 'fuse replaced',
      words: 'same rating',
      blewIt: 'a strand across S2',
    })
    await prove(wren, fault, 'supply', '110')
    await wren.post(`/faults/${fault}/proof/symptom`, { word: 'still there' })
    await wren.post(`/faults/${fault}/rejections`, { reason: 'lamp still dark' })
    const last = site.deps.storage.faults.get(fault).findings.at(-1)
    expect(last).toMatchObject({ kind: 'rejection', mended: true })
  })

  it('counts no proof taken while something that bears on it is disturbed', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', 'none')
    await identify(wren, fault)
    const repair = { action: 'fuse replaced', words: 'same rating', blewIt: 'a strand across S2' }
    await wren.post(`/faults/${fault}/repairs`, repair)
    await wren.post(`/faults/${fault}/disturbances`, { item: 'strap across S1 and the door' })
    expect((await wren.get(`/faults/${fault}/proof/dead/supply`)).text).toContain(
      'Put back first: strap across S1 and the door. A proof taken now does not count.',
    )
    await prove(wren, fault, 'supply', '110')
    await wren.post(`/faults/${fault}/proof/symptom`, { word: 'gone' })
    await restoreAll(wren, fault)
    const proof = await wren.get(`/faults/${fault}/proof`)
    expect(proof.text).toContain('0 of 2 proved')
    expect(proof.text).toContain('Disturbed when it was taken: strap across S1 and the door')
    expect((await wren.get(`/faults/${fault}/next`)).location).toBe(`/faults/${fault}/proof`)
    const record = await wren.get(`/faults/${fault}/record`)
    expect(record.text).toContain('proof, does not count: something was disturbed')
    expect(record.text).toContain('Does not count Proof: Supply 110: passed')
    await prove(wren, fault, 'supply', '110')
    await wren.post(`/faults/${fault}/proof/symptom`, { word: 'gone' })
    const closed = await close(wren, fault, people.wren.name, { outcome: 'proven cause', changed: 'fuse' })
    expect(closed.location).toBe(`/faults/${fault}/record`)
  })

  it('puts back one by one and will not be signed while anything is disturbed', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    await identify(wren, fault)
    await find(wren, fault, 'loop-resistance', '1.2')
    await wren.post(`/faults/${fault}/disturbances`, { item: 'strap across L1 and L2' })
    const list = await wren.get(`/faults/${fault}/put-back`)
    expect(list.text).toContain('0 of 2 restored')
    await find(wren, fault, 'loop-insulation', '20M', { row: 'in range' })
    await find(wren, fault, 'telltale', '=lit')
    const refused = await close(wren, fault, people.wren.name, { outcome: 'not reproduced' })
    expect(refused.text).toContain('Not put back yet: wire at L1')
    expect(await restoreAll(wren, fault)).toBe(2)
    expect((await wren.get(`/faults/${fault}/put-back`)).text).toContain('2 of 2 restored')
  })

  it('keeps a fault that cleared itself on the engineer’s list until a note settles it', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const fields = { outcome: 'not reproduced', clearedItself: 'yes', words: 'lamp lit when I came' }
    expect((await close(wren, fault, people.wren.name, fields)).location).toContain('/record')
    const isla = await site.as('isla')
    expect((await isla.get('/open')).text).toContain('cleared itself')
    await isla.post(`/faults/${fault}/notes`, { words: 'logger fitted, watch for a month', settled: 'yes' })
    expect((await isla.get('/open')).text).toContain('None waits')
  })

  it('asks which row to follow where no limit is on record, and gives no verdict', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    await identify(wren, fault)
    await find(wren, fault, 'loop-resistance', '1.2')
    const asked = await find(wren, fault, 'loop-insulation', '20M')
    expect(asked.status).toBe(400)
    expect(asked.text).toContain('There is no limit to judge this by')
    await find(wren, fault, 'loop-insulation', '20M', { row: 'in range' })
    expect((await wren.get(`/faults/${fault}/checks/dead/loop-insulation`)).text).toContain('No verdict')
  })

  it('asks which way to go where it cannot be told, and keeps that it was judgement', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    expect((await find(wren, fault, 'supply', '?')).text).toContain(
      'Choose where to go by your own judgement',
    )
    await find(wren, fault, 'supply', '?', {
      row: 'in range',
      reason: 'case is flooded, lamp in the case is bright',
    })
    expect((await wren.get(`/faults/${fault}/record`)).text).toContain('cannot tell')
  })
})
