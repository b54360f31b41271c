// Who answers for what stands disturbed while a fault goes from one pair of hands to the next.

import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { makeSite, people, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, close, find, identify, report, restoreAll } from '../../support/walking.ts'

let site: Site
let wren: Visitor
let moss: Visitor
let fault: string
beforeEach(async () => {
  site = await makeSite()
  wren = await site.as('wren')
  moss = await site.as('moss')
  fault = await report(wren)
  await attend(wren, fault)
  await find(wren, fault, 'supply', '110')
  await identify(wren, fault)
  await find(wren, fault, 'loop-resistance', '1.1')
})

const record = () => site.deps.storage.faults.get(fault)
const words = { nextStep: 'measure the insulation', words: 'ground is soaked' }

async function handOver(): Promise<string> {
  const id = randomUUID()
  expect((await wren.post(`/faults/${fault}/handovers`, { id, ...words })).status).toBe(303)
  return `/faults/${fault}/handovers/${id}`
}

async function confirmAll(at: string): Promise<void> {
  const { html } = await moss.get(at)
  const keys = [...html.matchAll(/name="key"\s+value="([^"]+)"/g)].map(([, key = '']) => key)
  for (const key of keys) await moss.post(`${at}/confirmations`, { key })
}

const accept = { spokenTo: 'signaller', protection: 'line blocked', isolation: 'nothing' }

describe('after a handover is written', () => {
  it('the old holder can record, lift and change nothing, and is sent to the handover', async () => {
    const at = await handOver()
    const before = record()
    const tries: [string, Record<string, string>][] = [
      ['findings', { tree: 'dead', check: 'loop-insulation', how: 'reading', text: '20M', row: 'in range' }],
      ['disturbances', { item: 'strap across L1 and L2' }],
      ['restorations', { itemKey: 'finding:x', how: 'restored' }],
      ['identity', { typed: 'WH-3-U' }],
      ['departures', { from: 'dead#loop-insulation', to: 'dead#telltale', reason: 'nearer' }],
      ['repairs', { action: 'adjusted', words: 'tightened' }],
      ['proof/symptom', { word: 'gone' }],
      ['rejections', { cause: 'x', reason: 'no' }],
      ['handovers', words],
    ]
    for (const [address, form] of tries) {
      const refused = await wren.post(`/faults/${fault}/${address}`, form)
      expect([address, refused.status]).toEqual([address, 409])
      expect(refused.text).toContain('has handed this fault over')
    }
    expect(record()).toEqual(before)
    expect((await wren.get(`/faults/${fault}/next`)).location).toBe(at)
    expect((await wren.get(`/faults/${fault}/checks/dead/loop-insulation`)).location).toBe(at)
    expect((await wren.get(`/faults/${fault}`)).text).toContain('Your handover waits')
  })

  it('they can take it back, which voids the handover and stands in the record', async () => {
    const at = await handOver()
    await confirmAll(at)
    expect((await moss.post(`${at}/withdrawal`, {})).status).toBe(409)
    expect((await wren.post(`${at}/withdrawal`, {})).location).toBe(`/faults/${fault}/next`)
    expect((await moss.post(`${at}/acceptance`, accept)).text).toContain('has taken this fault back')
    expect((await find(wren, fault, 'loop-insulation', '20M', { row: 'in range' })).status).toBe(303)
    expect((await wren.get(`/faults/${fault}/record`)).text).toContain('Taken back')
    expect((await moss.get(at)).text).toContain('This handover is void')
  })

  it('can’t take it back once it is taken over', async () => {
    const at = await handOver()
    await confirmAll(at)
    expect((await moss.post(`${at}/acceptance`, accept)).status).toBe(303)
    expect((await wren.post(`${at}/withdrawal`, {})).status).toBe(409)
    expect(record().attendances.at(-1)?.personId).toBe('moss')
  })

  it('closes the fault as it stands only with what is disturbed in a handover that counts', async () => {
    const at = await handOver()
    await wren.post(`${at}/withdrawal`, {})
    const asItIs = { outcome: 'not completed', words: 'wire still off' }
    expect((await close(wren, fault, people.wren.name, asItIs)).text).toContain('in no handover')
    await handOver()
    expect((await close(wren, fault, people.wren.name, asItIs)).status).toBe(303)
  })
})

describe('a handover with something disturbed after it', () => {
  it('from before nothing more could be, is not accepted, and names it', async () => {
    const at = await handOver()
    await confirmAll(at)
    const { id = '' } = record().attendances[0] ?? {}
    const late = site.db.prepare(`INSERT INTO disturbances (id, fault_id, seq, attendance_id, at, by, item)
      VALUES ('late', ?, 1, ?, ?, 'wren', 'strap across L1 and L2')`)
    site.deps.storage.transaction(() => late.run(fault, id, site.deps.clock().toISOString()))
    expect((await moss.get(at)).text).toContain('strap across L1 and L2')
    const refused = await moss.post(`${at}/acceptance`, accept)
    expect(refused.status).toBe(409)
    expect(refused.text).toContain('strap across L1 and L2')
  })
})

describe('taking over without a handover', () => {
  const reason = { reason: 'called away ill' }
  const keysOn = (html: string) =>
    [...html.matchAll(/name="taken"\s+value="([^"]+)"/g)].map(([, key = '']) => key)

  it('wants what stands disturbed confirmed, each by itself, as it stands then', async () => {
    await wren.post(`/faults/${fault}/disturbances`, { item: 'strap across L1 and L2' })
    const shown = await moss.get(`/faults/${fault}/attendances/new`)
    expect(shown.text).toContain('Disturbed: strap across L1 and L2')
    const keys = keysOn(shown.html)
    expect(keys.length).toBeGreaterThan(1)
    const send = (taken: string[]) =>
      moss.post(`/faults/${fault}/attendances`, { ...accept, ...reason, seen: 'yes', taken })
    for (const taken of [[], keys.slice(1), ['finding:other']]) {
      const again = await send(taken)
      expect(again.status).toBe(400)
      expect(again.text).toContain('tick each that you take over')
    }
    await wren.post(`/faults/${fault}/disturbances`, { item: 'fuse F3 out' })
    const newer = await send(keys)
    expect(newer.text).toContain('Disturbed: fuse F3 out')
    expect((await send(keysOn(newer.html))).status).toBe(303)
    const stored = site.db.prepare('SELECT text FROM taken_over_items ORDER BY place').pluck().all()
    expect(stored).toContain('Disturbed: fuse F3 out')
    expect(stored).toHaveLength(keys.length + 1)
    expect(record().attendances.at(-1)?.personId).toBe('moss')
  })

  it('wants nothing ticked where nothing stands disturbed', async () => {
    await restoreAll(wren, fault)
    await find(wren, fault, 'loop-insulation', '20M', { row: 'in range' })
    await restoreAll(wren, fault)
    expect(keysOn((await moss.get(`/faults/${fault}/attendances/new`)).html)).toEqual([])
    expect((await attend(moss, fault, reason)).status).toBe(303)
  })

  it('is no way round one’s own handover', async () => {
    const at = await handOver()
    expect((await attend(wren, fault, reason)).location).toBe(at)
    expect((await moss.get(`/faults/${fault}/attendances/new`)).text).toContain('has written a handover')
  })
})
