import { beforeAll, describe, expect, it } from 'vitest'
import { may } from '../../server/auth/roles.ts'
import { type Route, siteMap } from '../../server/web/routes.ts'
import { people } from '../support/site.ts'
import type { Page, Visitor } from '../support/visitor.ts'
import { makeTarget, type Target } from './addresses.ts'

// Made from the site map, so that a new page or action is tried without anybody thinking of it.

let target: Target
const visitors = new Map<string, Visitor>()
beforeAll(async () => {
  target = await makeTarget()
  for (const name of Object.keys(people) as (keyof typeof people)[])
    visitors.set(people[name].role, await target.site.as(name))
  visitors.set('technician', await target.site.as('wren'))
})

const ask = (visitor: Visitor | undefined, route: Route): Promise<Page> => {
  if (!visitor) throw new Error('no such visitor')
  const address = target.addressOf(route)
  return route.method === 'get' ? visitor.get(address) : visitor.post(address, {})
}
const named = siteMap.map(route => [`${route.method} ${route.path}`, route] as const)
const guarded = named.filter(([, route]) => route.may !== 'anyone')
const notForRole = 'This is not for the role'

it('lets nobody in without a sign-in except to sign in or out, to begin, and to choose a look', () => {
  const open = named.filter(([, route]) => route.may === 'anyone').map(([name]) => name)
  const expected = ['get /', 'get /sign-in', 'post /sign-in', 'post /sign-out', 'get /setup', 'post /setup']
  // Asks for the token of a shift in place of a session.
  expected.push('post /tablet/acts', 'post /tablet/contact')
  expect(open.sort()).toEqual([...expected, 'post /cover', 'get /look', 'post /look'].sort())
})

it('has no page beside the site map', async () => {
  const nobody = target.site.visitor()
  for (const address of [
    '/faults/',
    '/FAULTS',
    '/people/',
    '/.git/config',
    '/package.json',
    '/server/main.ts',
    '/admin',
  ])
    expect([200, 500]).not.toContain((await nobody.get(address)).status)
})

describe.each(guarded)('%s', (_, route) => {
  it('shows and does nothing to whoever is not signed in', async () => {
    const page = await ask(target.site.visitor(), route)
    if (route.method === 'post') expect(page.status).toBe(401)
    else expect([page.status, page.location.startsWith('/sign-in?return=%2F')]).toEqual([303, true])
    expect(page.text).not.toContain('Wendle Halt')
  })

  it.each(['technician', 'engineer', 'author', 'reviewer'] as const)(
    'is held to the rights of a %s',
    async role => {
      const page = await ask(visitors.get(role), route)
      const allowed = route.may === 'signed in' || (route.may !== 'anyone' && may(role, route.may))
      expect(page.status).toBeLessThan(500)
      expect(page.status).not.toBe(401)
      if (allowed) expect(page.text).not.toContain(notForRole)
      else expect([page.status, page.text.includes(notForRole)]).toEqual([403, true])
    },
  )
})

it('shows and does nothing but ask for one of their own to whoever has a PIN that somebody else chose', async () => {
  const rue = await target.site.as('rue')
  target.site.deps.storage.people.update('rue', { given: 'PIN' })
  for (const [name, route] of guarded) {
    if (route.path === '/me/own') continue
    const page = await ask(rue, route)
    if (route.method === 'get')
      expect([name, page.status, page.location.startsWith('/me/own?')]).toEqual([name, 303, true])
    else expect([name, page.status, page.text.includes('Choose your own PIN')]).toEqual([name, 403, true])
    expect(page.text).not.toContain('Wendle Halt')
  }
  target.site.deps.storage.people.update('rue', { given: null })
})

it('changes nothing for a role without the right, whatever is sent', async () => {
  const { storage } = target.site.deps
  const before = JSON.stringify([storage.faults.get(target.fault), storage.people.list()])
  for (const [, route] of guarded) {
    if (route.method !== 'post' || route.may === 'signed in') continue
    for (const role of ['author', 'reviewer'] as const)
      if (!may(role, route.may as Parameters<typeof may>[1])) await ask(visitors.get(role), route)
  }
  expect(JSON.stringify([storage.faults.get(target.fault), storage.people.list()])).toBe(before)
})
