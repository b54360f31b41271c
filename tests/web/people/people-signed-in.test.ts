import { scryptSync } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { standardCost } from '../../../server/auth/scrypt.ts'
import { makeSite, people, pin, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'

let site: Site
beforeEach(async () => {
  site = await makeSite()
})

const isIn = async (visitor: Visitor) => (await visitor.get('/sites')).status === 200
const sessionOf = (visitor: Visitor) =>
  visitor.agent.jar.getCookie('fourfoot', { domain: '127.0.0.1', path: '/', secure: false, script: false })
    ?.value
const marks = (html: string) =>
  [...html.matchAll(/name="session" value="([0-9a-f]+)"/g)].map(([, mark]) => mark ?? '')

// OWASP Application Security Verification Standard 5.0, 7.5.2: one sees where one is signed in, and ends any or all of it
// after signing in with one factor again (read in source).
describe('one’s open sessions', () => {
  it('stand on one’s own page with their tablet and times, and nobody else’s do', async () => {
    const here = await site.as('wren')
    await site.as('moss')
    expect((await here.get('/me')).text).toContain('Only here.')
    site.pass(5)
    const stranger = site.stranger()
    site.deps.storage.people.update('wren', {
      passwordHash: await site.deps.secrets.hash('seven wet sleepers'),
    })
    await stranger.post('/sign-in', { name: people.wren.name, pin: 'seven wet sleepers' })
    const page = await here.get('/me')
    expect(page.text).toMatch(
      /Tablet Van 3 \(this one\) Since Mon 2 Nov 2026, 01:00.* A browser, not one of the depot’s tablets Since Mon 2 Nov 2026, 01:05/,
    )
    expect(marks(page.html)).toHaveLength(1)
  })

  it('are ended all but this one on the word of the PIN, and not without it', async () => {
    const [here, there, third] = [await site.as('wren'), await site.as('wren'), await site.as('wren')]
    const moss = await site.as('moss')
    const refused = await here.post('/me/sessions', { secret: '0001', session: 'others' })
    expect([refused.status, refused.text.includes('do not go together')]).toEqual([400, true])
    expect((await here.post('/me/sessions', { session: 'others' })).status).toBe(400)
    expect([await isIn(there), await isIn(third)]).toEqual([true, true])
    const before = sessionOf(here)
    const done = await here.post('/me/sessions', { secret: pin, session: 'others' })
    expect(done.text).toContain('Signed out there. Only here.')
    expect([await isIn(here), await isIn(there), await isIn(third)]).toEqual([true, false, false])
    expect(await isIn(moss)).toBe(true)
    expect(sessionOf(here)).not.toBe(before)
  })

  it('are ended one by one, each of one’s own only', async () => {
    const here = await site.as('wren')
    site.pass(1)
    const there = await site.as('wren')
    site.pass(1)
    const third = await site.as('wren')
    const moss = await site.as('moss')
    const [newest = '', older = ''] = marks((await here.get('/me')).html)
    expect(older).not.toBe('')
    await moss.post('/me/sessions', { secret: pin, session: older })
    expect([await isIn(there), await isIn(third)]).toEqual([true, true])
    const done = await here.post('/me/sessions', { secret: pin, session: older })
    expect(marks(done.html)).toEqual([newest])
    expect([await isIn(here), await isIn(there), await isIn(third)]).toEqual([true, false, true])
  })
})

// The same standard, 7.4.5: whoever looks after the accounts can end a person's sessions (read in source).
it('an engineer signs a person out everywhere, who may sign in again; it is on record', async () => {
  const isla = await site.as('isla')
  const [wren, also, moss] = [await site.as('wren'), await site.as('wren'), await site.as('moss')]
  expect((await isla.get('/people')).html).toContain('action="/people/wren/sign-out"')
  expect((await moss.post('/people/wren/sign-out', {})).status).toBe(403)
  expect(await isIn(wren)).toBe(true)
  expect((await isla.post('/people/wren/sign-out', {})).location).toBe('/people')
  expect([await isIn(wren), await isIn(also), await isIn(moss)]).toEqual([false, false, true])
  expect(await isIn(await site.as('wren'))).toBe(true)
  const ended = site.deps.storage.trail
    .list({ limit: 20 })
    .filter(entry => entry.subject === 'sessions' && entry.what === 'changed')
  expect(ended.map(({ personName }) => personName)).toContain('Isla Verrin')
})

// The same standard, 6.2.3 and 7.5.1: what lets somebody in is changed only by whoever signs in with one factor again.
describe('what an engineer sets for people', () => {
  it.each([
    ['a PIN', 'wren', { pin: '7391' }],
    ['a password', 'wren', { password: 'three foxes on a gantry' }],
    ['a role', 'wren', { role: 'engineer' }],
    ['access again', 'odo', { active: 'yes' }],
    ['a PIN of their own', 'isla', { pin: '7391' }],
  ] as const)('wants their own PIN or password: %s', async (_, id, change) => {
    const { storage } = site.deps
    const isla = await site.as('isla')
    storage.people.update('odo', { active: false })
    const before = JSON.stringify(storage.people.list())
    const without = await isla.post(`/people/${id}`, { ...change })
    const wrong = await isla.post(`/people/${id}`, { now: '0001', ...change })
    expect([without.status, wrong.status]).toEqual([400, 400])
    expect(wrong.text).toContain('Nothing was changed.')
    expect(JSON.stringify(storage.people.list())).toBe(before)
    expect((await isla.post(`/people/${id}`, { now: pin, ...change })).status).toBe(303)
    expect(JSON.stringify(storage.people.list())).not.toBe(before)
  })

  it('wants it for a new person as well', async () => {
    const isla = await site.as('isla')
    const form = { name: 'Fern Lode', role: 'engineer', pin: '7391' }
    expect((await isla.post('/people', form)).text).toContain('Type your own PIN or password as well.')
    expect((await isla.post('/people', { ...form, now: '0001' })).text).toContain('do not go together')
    expect(site.deps.storage.people.findByName('Fern Lode')).toBeNull()
    expect((await isla.post('/people', { ...form, now: pin })).status).toBe(303)
    expect(site.deps.storage.people.findByName('Fern Lode')?.role).toBe('engineer')
  })

  it('ends access at once, with nothing more to type', async () => {
    const [isla, wren] = [await site.as('isla'), await site.as('wren')]
    expect((await isla.post('/people/wren', { active: 'no' })).status).toBe(303)
    expect(await isIn(wren)).toBe(false)
  })
})

describe('a right PIN', () => {
  beforeEach(async () => {
    site = await makeSite({ hashCost: standardCost })
  })

  it('that was hashed with older settings is hashed anew when it is typed', async () => {
    const salt = Buffer.alloc(16, 7)
    const old = ['scrypt', 14, 8, 1, salt.toString('base64'), scryptSync(pin, salt, 32).toString('base64')]
    site.deps.storage.people.update('wren', { pinHash: old.join('$') })
    const wren = await site.as('wren')
    expect(await isIn(wren)).toBe(true)
    const anew = site.deps.storage.people.find('wren')?.pinHash
    expect(anew).toMatch(/^scrypt\$15\$8\$3\$/)
    expect(await isIn(await site.as('wren'))).toBe(true)
    expect(site.deps.storage.people.find('wren')?.pinHash).toBe(anew)
  })

  it('lets nobody in when it was changed, or access was ended, while it was looked at', async () => {
    const other = await site.deps.secrets.hash('8264')
    for (const change of [{ pinHash: other }, { active: false }]) {
      const tablet = site.visitor()
      const signingIn = tablet.post('/sign-in', { name: people.moss.name, pin })
      await underWay()
      site.deps.storage.people.update('moss', change)
      expect((await signingIn).status).toBe(400)
      expect(await isIn(tablet)).toBe(false)
      site.deps.storage.people.update('moss', { pinHash: await site.deps.secrets.hash(pin), active: true })
    }
  })

  /** Until the guess is counted: its hash is then being worked out. */
  async function underWay(): Promise<void> {
    const { attempts } = site.deps
    const begun = new Promise<void>(resolve => {
      const { waitFor } = attempts
      attempts.waitFor = (...guess) => {
        setImmediate(resolve)
        attempts.waitFor = waitFor
        return waitFor(...guess)
      }
    })
    await begun
  }
})
