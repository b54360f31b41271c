import { expect, it } from 'vitest'
import { siteMap } from '../../server/web/routes.ts'
import { people } from '../support/site.ts'
import { makeTarget } from './addresses.ts'

// A page may be asked for by a link or a picture on any other site, with the visitor's cookies: so looking changes nothing
// on record. Every write is in the trail; that it is, tests/storage/engine/trail.test.ts holds.

it('no page that is asked for puts anything on record, whoever asks', async () => {
  const { site, fault, addressOf } = await makeTarget()
  const newest = site.db.prepare<[], number>('SELECT coalesce(max(seq), 0) FROM trail').pluck()
  const gets = siteMap.filter(route => route.method === 'get')
  expect(gets.length).toBeGreaterThan(80)
  for (const name of Object.keys(people) as (keyof typeof people)[]) {
    const visitor = await site.as(name)
    const before = newest.get()
    const found = { status: 0, pages: 0 }
    for (const route of gets) {
      found.status = (await visitor.get(addressOf(route))).status
      if (found.status === 200) found.pages += 1
      expect([route.path, newest.get()]).toEqual([route.path, before])
    }
    expect(found.pages).toBeGreaterThan(10)
  }
  expect(site.deps.storage.faults.get(fault).closure).toBeNull()
})
