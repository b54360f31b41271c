import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { needsSignal } from '../../server/web/tablet/carried-routes.ts'
import { technicianRoutes } from '../../server/web/technician/routes.ts'
import { askBoth, type BothHosts, bothHosts, shownRoutes } from '../support/same-pages.ts'

let hosts: BothHosts

beforeAll(async () => {
  hosts = await bothHosts()
})
afterAll(() => hosts.target.site.db.close())

describe('the same page on the tablet as from the depot', () => {
  it.each(shownRoutes.map(route => [route.path, route] as const))('%s', async (_, route) => {
    const { depot, tablet } = await askBoth(hosts, route)
    expect(tablet.status).toBe(depot.status)
    expect(tablet.location).toBe(depot.location)
    expect(tablet.html).toBe(depot.html)
  })
})

it('each technician’s address is answered by a tablet, or says why it needs signal', () => {
  for (const { method, path } of technicianRoutes)
    expect(hosts.tablet.carries(method, path.replaceAll(':', '')) || needsSignal[path]).toBeTruthy()
})
