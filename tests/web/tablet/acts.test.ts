import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, report } from '../../support/walking.ts'

let site: Site
let wren: Visitor
let shift: string
let fault: string
let seq = 0

beforeEach(async () => {
  site = await makeSite()
  wren = await site.as('wren')
  fault = await report(wren)
  await attend(wren, fault)
  shift = JSON.parse((await wren.post('/tablet/shift', {})).html).token
  seq = 0
})

const reading = (id: string = randomUUID(), text = '110') => ({
  id,
  tree: 'dead',
  check: 'supply',
  how: 'reading',
  text,
})

/** As a tablet sends it, an hour after it was done. */
async function send(fields: Record<string, string>, more: Record<string, string> = {}, path = 'findings') {
  const form = new URLSearchParams(fields).toString()
  seq += 1
  const doneAt = site.deps.clock().toISOString()
  site.pass(60)
  const address = path.startsWith('/') ? path : `/faults/${fault}/${path}`
  const given = { shift, act: fields.id ?? '', seq: String(seq), path: address, form, doneAt, cookies: '' }
  const answer = await site.stranger().post('/tablet/acts', { ...given, ...more })
  return { ...answer, said: answer.status === 200 ? JSON.parse(answer.html) : null, doneAt }
}

describe('what a tablet recorded without signal', () => {
  it('is recorded with the time it was done, though nobody is signed in, and the trail tells when it came', async () => {
    const { said, doneAt } = await send(reading())
    expect(said).toEqual({ arrived: expect.any(String), apart: null })
    const [finding] = site.deps.storage.faults.get(fault).findings
    expect(finding).toMatchObject({ at: doneAt, by: 'wren', text: '110' })
    const entry = site.deps.storage.trail.list({ limit: 20 }).find(one => one.subject === 'findings')
    expect(entry).toMatchObject({ personId: 'wren', tabletId: 'van' })
    expect(Date.parse(entry?.at ?? '') - Date.parse(doneAt)).toBeGreaterThanOrEqual(3600_000)
  })

  it('is recorded once, however often it is sent: also when the depot had it by the form itself', async () => {
    const id = randomUUID()
    await send(reading(id))
    expect((await send(reading(id))).said).toEqual({ arrived: id, apart: null })
    const other = randomUUID()
    const atDepot = await site.as('wren')
    await atDepot.post(`/faults/${fault}/findings`, { ...reading(other, '5.5'), check: 'loop-resistance' })
    const before = site.deps.storage.faults.get(fault).findings.length
    expect(before).toBe(2)
    await send({ ...reading(other, '5.5'), check: 'loop-resistance' })
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(before)
  })

  it('stands apart, in words, when the record has moved on, and is never lost', async () => {
    await find(wren, fault, 'supply', '109')
    const act = reading()
    const { said } = await send(act)
    expect(said.apart).toBeTruthy()
    expect((await send(act)).said).toEqual(said)
    // Her session has long ended.
    const { text } = await (await site.as('wren')).get(`/faults/${fault}/record`)
    expect(text).toContain('Arrived late')
    expect(text).toContain('text: 110')
    expect(text).toContain(said.apart)
    expect(site.deps.storage.shifts.listLate(fault)).toHaveLength(1)
  })

  it('is never dated before its shift, nor in the time to come', async () => {
    const early = reading()
    await send(early, { doneAt: '2001-01-01T00:00:00.000Z' })
    const late = { ...reading(randomUUID(), '5.5'), check: 'loop-resistance' }
    await send(late, { doneAt: '2099-01-01T00:00:00.000Z' })
    const now = site.deps.clock().toISOString()
    for (const { at } of site.deps.storage.faults.get(fault).findings) {
      expect(at > '2026-11-02').toBe(true)
      expect(at < now).toBe(true)
    }
  })

  it('is refused without the token of a shift', async () => {
    expect((await send(reading(), { shift: 'guessed' })).status).toBe(403)
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(0)
  })

  it('of a revoked tablet is kept, and enters no record', async () => {
    site.deps.storage.tablets.revoke('van', 'isla')
    const { status, said } = await send(reading())
    expect(status).toBe(200)
    expect(said.apart).toContain('a tablet that was revoked')
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(0)
    expect(site.deps.storage.shifts.listLate(fault)).toHaveLength(1)
  })

  it('reaches none but the technician’s own forms', async () => {
    const { said } = await send({ id: randomUUID(), name: 'Eve', role: 'engineer' }, {}, '/people')
    expect(said.apart).toBe('This version of the program has no such form.')
  })
})
