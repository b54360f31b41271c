import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { report } from '../../support/walking.ts'

let site: Site
let isla: Visitor
beforeEach(async () => {
  site = await makeSite({ env: { TIME_ZONE: 'Europe/London' } })
  isla = await site.as('isla')
})

/** What the fields of the form to put something right hold. */
async function fields(address: string): Promise<Record<string, string>> {
  const { html } = await isla.get(address)
  const form = html.slice(
    html.indexOf('<form class="page--form"', html.indexOf('<main')),
    html.indexOf('Changed by hand'),
  )
  const first = form.slice(0, form.indexOf('</form>'))
  const inputs = [...first.matchAll(/<input[^>]*?\sname="([^"]+)"[^>]*?\svalue="([^"]*)"/g)]
  const selects = [...first.matchAll(/<select[^>]*?\sname="([^"]+)"[^>]*>([\s\S]*?)<\/select>/g)]
  const areas = [...first.matchAll(/<textarea[^>]*?\sname="([^"]+)"[^>]*>([^<]*)/g)]
  return Object.fromEntries([
    ...[...inputs, ...areas].map(([, name = '', value = '']) => [name, value]),
    ...selects.map(([, name = '', body = '']) => [name, /value="([^"]*)"\s+selected/.exec(body)?.[1] ?? '']),
  ])
}

describe('a site by hand', () => {
  it('is added, put right with a reason, and keeps its history', async () => {
    const id = randomUUID()
    expect(
      (await isla.post('/sites', { id, name: 'Ackerhalt', line: '', mileage: '1', access: '' })).location,
    ).toBe(`/sites/${id}`)
    const changed = {
      ...(await fields(`/sites/${id}/edit`)),
      name: 'Ackerhalt East',
      mileage: '2',
      why: 'there are two',
    }
    expect((await isla.post(`/sites/${id}`, { ...changed, id: randomUUID() })).status).toBe(303)
    const { text } = await isla.get(`/sites/${id}/edit`)
    expect(text).toMatch(/name: Ackerhalt → Ackerhalt East; mileage: 1 → 2 there are two/)
    expect(
      (await isla.post('/sites', { name: 'wendle halt', line: '', mileage: '', access: '' })).text,
    ).toContain('of that name already')
    expect((await isla.post(`/sites/${id}`, { ...changed, id: randomUUID(), why: '' })).text).toContain(
      'Say why',
    )
  })

  it('that stands twice is merged, with all that happened at its positions', async () => {
    const fault = await report(await site.as('wren'))
    const id = randomUUID()
    await isla.post('/sites', { id, name: 'Wendle', line: 'Shore', mileage: '', access: '' })
    expect((await isla.post('/sites/site/merging', { into: id, why: 'one place' })).location).toBe(
      `/sites/${id}`,
    )
    expect((await isla.get('/sites/site')).status).toBe(404)
    const { text } = await isla.get(`/sites/${id}`)
    expect(text).toContain('Overspeed loops, up')
    expect(site.deps.storage.faults.listBySite(id, 9).map(one => one.id)).toEqual([fault])
    expect((await isla.get(`/sites/${id}/edit`)).text).toContain('Wendle Halt')
  })

  it('is taken away while nothing lies there, and not otherwise', async () => {
    const id = randomUUID()
    await isla.post('/sites', { id, name: 'Total: 12', line: '', mileage: '', access: '' })
    expect((await isla.post(`/sites/${id}/removal`, { why: 'a total' })).location).toBe('/sites')
    expect((await isla.get('/sites')).text).not.toContain('Total: 12')
    expect((await isla.post('/sites/site/removal', { why: 'x' })).text).toContain(
      'Positions lie at this site',
    )
  })
})

describe('a position by hand', () => {
  it('is added with its facts, each read as an import reads it', async () => {
    const at = '/sites/site/positions'
    const made = {
      equipment: 'small-transmitter',
      plate: 'WH-9',
      name: 'Ninth',
      indicated: 'no',
      inService: '2020-04-01',
      outOfService: '',
    }
    const wrong = await isla.post(at, { ...made, inService: '', fact6: 'long' })
    expect(wrong.text).toContain('This is needed')
    const id = randomUUID()
    const form = (await isla.get(`${at}/new`)).html
    const fact = (label: string) => new RegExp(`for="(fact\\d+)">\\s*${label}`).exec(form)?.[1] ?? ''
    expect((await isla.post(at, { ...made, [fact('Cable length')]: 'long' })).text).toContain(
      'is no number in m',
    )
    expect(
      (await isla.post(at, { ...made, id, [fact('Cable length')]: '70 m', [fact('Direction')]: 'opposite' }))
        .status,
    ).toBe(303)
    expect(site.deps.storage.positions.get(id)).toMatchObject({
      plate: 'WH-9',
      indicated: false,
      facts: { 'cable length': '70', direction: 'opposite' },
      inService: '2020-03-31T23:00:00.000Z',
    })
    expect((await isla.post(at, { ...made, name: 'Tenth' })).text).toContain('has this plate')
  })

  it('is put right with a reason; a day that was left alone stays the moment it was', async () => {
    const before = site.deps.storage.positions.get('up')
    const form = await fields('/positions/up/edit')
    const name = Object.entries(form).find(([, value]) => value === '120')?.[0] ?? ''
    const sent = { ...form, id: randomUUID(), [name]: '135', why: 'measured' }
    expect((await isla.post('/positions/up', sent)).location).toBe('/positions/up')
    expect(site.deps.storage.positions.get('up')).toEqual({
      ...before,
      facts: { ...before.facts, 'cable length': '135' },
    })
    expect((await isla.get('/positions/up/edit')).text).toMatch(/cable length: 120 → 135 measured/)
  })

  it('goes out of service on a day, and all that happened there stays', async () => {
    const fault = await report(await site.as('wren'))
    const form = await fields('/positions/up/edit')
    await isla.post('/positions/up', {
      ...form,
      id: randomUUID(),
      outOfService: '2026-10-01',
      why: 'renewed',
    })
    expect(site.deps.storage.positions.get('up').outOfService).toBe('2026-09-30T23:00:00.000Z')
    expect(site.deps.storage.faults.get(fault).fault.positionId).toBe('up')
    const early = { ...form, id: randomUUID(), outOfService: '2019-10-01', why: 'x' }
    expect((await isla.post('/positions/up', early)).text).toContain('before it is in service')
  })

  it('is for engineers', async () => {
    const wren = await site.as('wren')
    expect((await wren.get('/positions/up')).text).not.toContain('Put its facts right')
    expect((await wren.get('/positions/up/edit')).status).toBe(403)
  })
})
