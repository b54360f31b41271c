import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { Database } from '../../../server/storage/engine/database.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, report } from '../../support/walking.ts'

// What the person at the tablet sees when the database can't be written or read.

let site: Site
let wren: Visitor
let fault: string
beforeEach(async () => {
  site = await makeSite()
  wren = await site.as('wren')
  fault = await report(wren)
  await attend(wren, fault)
})

describe('when nothing can be recorded', () => {
  const limit = (db: Database, pages: number) => db.pragma(`max_page_count = ${pages}`)
  afterEach(() => limit(site.db, 1_000_000))

  it('says so on a whole page, keeps what was recorded, and takes it later', async () => {
    limit(site.db, site.db.pragma('page_count', { simple: true }) as number)
    const long = {
      position: 'up',
      tree: 'dead',
      noticed: 'x'.repeat(1900),
      reportedBy: 'y',
      protection: 'kept',
    }
    let full = await wren.post('/faults', long)
    for (let n = 0; full.status === 303 && n < 60; n++) full = await wren.post('/faults', long)
    expect([full.status, full.text.includes('disk of the database is full')]).toEqual([503, true])
    expect(full.text).toContain('Wren Aldous')
    expect((await wren.get('/faults')).status).toBe(200)
    limit(site.db, 1_000_000)
    expect((await wren.post('/faults', long)).status).toBe(303)
    expect((await find(wren, fault, 'supply', '110')).status).toBe(303)
  })
})

describe('when the database does not answer at all', () => {
  it('draws the page of trouble all the same, without a stack, and the trees stay on the tablet', async () => {
    site.db.close()
    const page = await wren.get('/faults')
    expect(page.status).toBe(500)
    expect(page.html).toContain('rel="stylesheet"')
    expect(page.text).toContain('Something went wrong here')
    expect(page.html).not.toMatch(/\.ts:\d|node_modules/)
    const health = await wren.agent.get('/healthz')
    expect([health.status, health.body.ok]).toEqual([503, false])
  })

  it('tells anybody that nothing is recorded when the file is gone, and only the engineers why', async () => {
    site.deps.databaseTrouble = () => 'The database file /srv/fourfoot.db was replaced.'
    const health = await site.stranger().agent.get('/healthz')
    expect([health.status, health.body]).toEqual([
      503,
      expect.objectContaining({ ok: false, database: 'not recording' }),
    ])
    expect(JSON.stringify(health.body)).not.toContain('/srv')
    expect((await (await site.as('isla')).get('/open')).text).toContain('/srv/fourfoot.db was replaced')
    expect((await wren.get('/faults')).text).not.toContain('/srv')
  })

  it('tells anybody that a backup failed, and only the engineers why', async () => {
    site.deps.backups = () => ({ newestAt: null, trouble: 'The disk at /srv/backups is full.' })
    const health = await site.stranger().agent.get('/healthz')
    expect(health.body.backup).toEqual({ newestAt: null, failed: true })
    expect((await (await site.as('isla')).get('/open')).text).toContain('/srv/backups is full')
    expect((await wren.get('/faults')).text).not.toContain('/srv/backups')
  })
})
