// The same address asked of the depot and of a tablet that carries its copy.

import type { Program } from '../../server/tablet/program.ts'
import type { Route } from '../../server/web/host/route.ts'
import { carriedRoutes } from '../../server/web/tablet/carried-routes.ts'
import { makeTarget, type Target } from '../attack/addresses.ts'
import { tabletOf } from './tablet.ts'
import type { Visitor } from './visitor.ts'

export interface BothHosts {
  target: Target
  wren: Visitor
  tablet: Program
}

/** A depot with a fault under way, and a tablet with its copy. */
export async function bothHosts(): Promise<BothHosts> {
  const target = await makeTarget()
  const wren = await target.site.as('wren')
  return { target, wren, tablet: await tabletOf(target.site, wren) }
}

export const shownRoutes = carriedRoutes.filter(route => route.method === 'get')

interface Shown {
  status: number
  location: string
  html: string
}

/** What each host answers at the address of a route, ids and times made alike. */
export async function askBoth(
  { target, wren, tablet }: BothHosts,
  route: Route,
): Promise<{ depot: Shown; tablet: Shown }> {
  const address = target.addressOf(route)
  const theirs = await wren.get(address)
  const asked = { method: 'GET', body: '', cookies: {}, wantsJson: false, address }
  const ours = await tablet.answer(asked)
  // The depot's own first page is for people at a desk.
  const location = route.path === '/' ? '/faults' : theirs.location
  return {
    depot: { status: theirs.status, location, html: level(theirs.html) },
    tablet: { status: ours.status, location: ours.headers.Location ?? '', html: level(ours.body) },
  }
}

function level(html: string): string {
  return html
    .replace(/[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g, 'ID')
    .replace(/data-clock="\d+"/g, 'data-clock=""')
    .replace(/\d{4}-\d\d-\d\dT\d\d:\d\d(:[\d.]+Z)?/g, 'TIME')
}
