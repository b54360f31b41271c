import { randomUUID } from 'node:crypto'
import request from 'supertest'
import { beforeAll, describe, expect, it } from 'vitest'
import { hashToken } from '../../../server/auth/tokens.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'

const account = { code: 'abc123', name: 'Ferris Loam', password: 'a long wet field', pin: '8317' }

async function emptyDepot(): Promise<{ site: Site; ferris: Visitor }> {
  const site = await makeSite({ empty: true })
  site.deps.storage.setupCodes.create(hashToken(account.code))
  const ferris = site.stranger()
  expect((await ferris.post('/setup', account)).location).toBe('/first-steps')
  return { site, ferris }
}

describe('first steps', () => {
  let site: Site
  let ferris: Visitor
  beforeAll(async () => {
    ;({ site, ferris } = await emptyDepot())
  })

  it('are where the first account lands and signs in, until all are done', async () => {
    expect((await ferris.get('/')).location).toBe('/first-steps')
    const { text } = await ferris.get('/first-steps')
    expect(text).toContain('0 of 11 done')
    expect(text).toContain('1 engineer, 0 technicians')
    expect(text).toContain('plain http')
    expect(text).toContain('0 of 3 are your own; 2 demo values, 1 blank: they hold up 3 checks in 1 tree')
  })

  it('are led to from every empty list', async () => {
    for (const list of [
      '/sites',
      '/positions',
      '/positions/labels',
      '/instruments/register',
      '/rounds',
      '/open',
    ])
      expect((await ferris.get(list)).html, list).toContain('href="/first-steps"')
  })

  it('are named by /healthz', async () => {
    const { body } = await request(site.app).get('/healthz')
    expect(body.toDo).toContain('limits')
    expect(body.toDo).toContain('people')
  })

  it('count what comes on record', async () => {
    const { sites, positions, units } = site.deps.storage
    sites.create({ id: 's', name: 'Ley', line: '', mileage: '', access: '' })
    const place = { siteId: 's', name: 'Up', plate: 'LEY-1', equipment: 'small-transmitter', indicated: true }
    positions.create({
      ...place,
      id: 'p',
      inService: '2020-01-01T00:00:00.000Z',
      outOfService: null,
      facts: {},
    })
    expect((await ferris.get('/first-steps')).text).toContain('0 of 1 position with a unit on record')
    units.create({ id: 'u', kind: 'module', serial: '1', variant: 'A' })
    units.fit({ id: 'f', unitId: 'u', positionId: 'p', fittedAt: '2020-01-01T00:00:00.000Z' })
    expect((await ferris.get('/first-steps')).text).toContain('1 of 1 position with a unit on record')
  })

  it('that no program can see done, or a depot does not need, are taken off the list and put back', async () => {
    const settle = (step: string, settled: string) =>
      ferris.post('/first-steps', { id: randomUUID(), step, settled })
    const before = (await ferris.get('/first-steps')).text
    expect((await settle('labels', 'yes')).status).toBe(303)
    const after = (await ferris.get('/first-steps')).text
    const done = (text: string) => Number(/(\d+) of 11 done/.exec(text)?.[1])
    expect(done(after)).toBe(done(before) + 1)
    await settle('labels', 'no')
    expect(done((await ferris.get('/first-steps')).text)).toBe(done(before))
    expect((await settle('limits', 'yes')).status).toBe(400)
  })
})

describe('a demo', () => {
  it('has no first steps to do', async () => {
    const site = await makeSite({ demoNotice: 'Demo' })
    expect((await (await site.as('isla')).get('/')).location).toBe('/open')
    expect((await request(site.app).get('/healthz')).body.toDo).toEqual([])
  })
})
