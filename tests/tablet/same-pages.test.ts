import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Program } from '../../server/tablet/program.ts'
import { carriedRoutes, needsSignal } from '../../server/web/tablet/carried-routes.ts'
import { technicianRoutes } from '../../server/web/technician/routes.ts'
import { makeTarget, type Target } from '../attack/addresses.ts'
import { tabletOf } from '../support/tablet.ts'
import type { Visitor } from '../support/visitor.ts'

let target: Target
let wren: Visitor
let tablet: Program

beforeAll(async () => {
  target = await makeTarget()
  wren = await target.site.as('wren')
  tablet = await tabletOf(target.site, wren)
})
afterAll(() => target.site.db.close())

/** Ids and times are each host's own. */
function level(html: string): string {
  return html
    .replace(/[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g, 'ID')
    .replace(/data-clock="\d+"/g, 'data-clock=""')
    .replace(/\d{4}-\d\d-\d\dT\d\d:\d\d(:[\d.]+Z)?/g, 'TIME')
}

const asked = { method: 'GET', body: '', cookies: {}, wantsJson: false }

const addresses = carriedRoutes
  .filter(route => route.method === 'get')
  .map(route => [route.path, route] as const)

describe('the same page on the tablet as from the depot', () => {
  it.each(addresses)('%s', async (_, route) => {
    const address = target.addressOf(route)
    const theirs = await wren.get(address)
    const ours = await tablet.answer({ ...asked, address })
    expect(ours.status).toBe(theirs.status)
    expect(ours.headers.Location ?? '').toBe(route.path === '/' ? '/faults' : theirs.location)
    expect(level(ours.body)).toBe(level(theirs.html))
  })
})

it('each technician’s address is answered by a tablet, or says why it needs signal', () => {
  for (const { method, path } of technicianRoutes)
    expect(tablet.carries(method, path.replaceAll(':', '')) || needsSignal[path]).toBeTruthy()
})
