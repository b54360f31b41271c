import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { makeSite, people, pin, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, report } from '../../support/walking.ts'

// OWASP Application Security Verification Standard 5.0, 6.4.1: a first password that the system or somebody else set is
// not to become the lasting one (value from memory).

const givenPin = '7391'
const givenPassword = 'three foxes on a gantry'
const ownPassword = 'nine grey signals'
const wren = people.wren.name
let site: Site
let isla: Visitor
beforeEach(async () => {
  site = await makeSite()
  isla = await site.as('isla')
})

const signIn = (visitor: Visitor, secret: string, fields: Record<string, string> = {}) =>
  visitor.post('/sign-in', { name: wren, pin: secret, ...fields })
const given = () => site.deps.storage.people.find('wren')?.given

/** Wren, signed in with what the engineer has just set. */
async function reset(set: Record<string, string>, visitor = site.visitor()): Promise<Visitor> {
  await isla.post('/people/wren', { now: pin, ...set })
  await signIn(visitor, set.pin ?? set.password ?? '')
  return visitor
}

describe('a PIN that an engineer set', () => {
  it('leads to one page, whatever is asked for, and on from there once it is changed', async () => {
    const tablet = await reset({ pin: givenPin })
    const held = await tablet.get('/faults/new?position=up')
    expect(held.location).toBe('/me/own?return=%2Ffaults%2Fnew%3Fposition%3Dup')
    const page = await tablet.get(held.location)
    expect(page.text).toContain('Choose your own PIN')
    expect(page.text).toContain('two people know it')
    expect(page.html).not.toContain('name="password"')
    expect(page.html).not.toContain('href="/faults"')
    const chosen = await tablet.post('/me/own', { pin: '8264', return: '/faults/new?position=up' })
    expect(chosen.location).toBe('/faults/new?position=up')
    expect((await tablet.get(chosen.location)).status).toBe(200)
    const again = site.visitor()
    expect((await signIn(again, givenPin)).status).toBe(400)
    await signIn(again, '8264')
    expect((await again.get('/faults')).status).toBe(200)
  })

  it('gives way to none that is missing, weak or the same', async () => {
    const tablet = await reset({ pin: givenPin })
    expect((await tablet.post('/me/own', {})).text).toContain('Choose a PIN that only you know')
    expect((await tablet.post('/me/own', { pin: '1234' })).text).toContain('digits are in a row')
    expect((await tablet.post('/me/own', { pin: givenPin })).text).toContain('That is the one you were given')
    expect((await tablet.post('/me', { now: givenPin, password: ownPassword })).status).toBe(403)
    expect(given()).toBe('PIN')
    expect((await tablet.get('/faults')).location).toContain('/me/own')
  })

  it('loses no form that was under way: it is carried through the sign-in and the choice, but no PIN with it', async () => {
    const tablet = await site.as('wren')
    const fault = await report(tablet)
    await attend(tablet, fault)
    await isla.post('/people/wren', { now: pin, pin: givenPin })
    expect((await find(tablet, fault, 'supply', '96.4')).status).toBe(401)
    const form = { 'kept-action': `/faults/${fault}/findings`, 'kept.text': '96.4' }
    const asked = await signIn(tablet, givenPin, form)
    expect(asked.text).toContain('Choose your own PIN')
    expect(asked.text).toContain('What you had entered is kept')
    expect((await tablet.post('/me/own', { pin: '1111', ...form })).html).toContain(
      'name="kept.text" value="96.4"',
    )
    const offered = await tablet.post('/me/own', { pin: '8264', ...form })
    expect(offered.text).toContain('Send what you had entered')
    expect(offered.html).toContain('name="text" value="96.4"')
    const held = await (await reset({ pin: '5937' })).post(`/faults/${fault}/notes`, {
      words: 'x',
      pin: '8264',
    })
    expect([held.status, held.html.includes('value="x"'), held.html.includes('8264')]).toEqual([
      403,
      true,
      false,
    ])
  })

  it('is marked in the trail by name alone, and gone from it by the person’s own hand', async () => {
    const tablet = await reset({ pin: givenPin })
    await tablet.post('/me/own', { pin: '8264' })
    const entries = site.deps.storage.trail
      .list({ limit: 20 })
      .filter(one => one.subject === 'people' && one.key === 'wren' && one.what === 'changed')
    expect(entries.map(({ personName, new: after }) => [personName, after && JSON.parse(after)])).toEqual([
      ['Wren Aldous', { given: null, pin_hash: '(secret)' }],
      ['Isla Verrin', { given: 'PIN', pin_hash: '(secret)' }],
    ])
    expect(JSON.stringify(site.deps.storage.trail.list({ limit: 100 }))).not.toMatch(/scrypt|7391|8264/)
  })

  it('allows no engineer to override a fit before it is changed', async () => {
    site.deps.storage.people.update('isla', { given: 'PIN' })
    const tablet = await site.as('wren')
    const fault = await report(tablet)
    await attend(tablet, fault)
    await tablet.post(`/faults/${fault}/departures`, {
      ...{ from: 'dead#supply', to: 'dead#telltale', reason: 'seen from the gate' },
    })
    await find(tablet, fault, 'telltale', '=dark')
    await tablet.post(`/faults/${fault}/identity`, { typed: 'WH-3-U' })
    const swap = {
      ...{ action: 'unit replaced', words: 'dead', kind: 'transmitter module', serialOut: 'T100' },
      ...{ serialIn: 'T200', variantIn: 'R1', asFound0: 'A', asLeft0: 'A' },
      ...{ overrideName: people.isla.name, overrideReason: 'agreed', overridePin: pin },
    }
    expect((await tablet.post(`/faults/${fault}/repairs`, swap)).status).toBe(400)
    site.deps.storage.people.update('isla', { given: null })
    expect((await tablet.post(`/faults/${fault}/repairs`, { ...swap, id: randomUUID() })).status).toBe(303)
  })
})

describe('a password that an engineer set', () => {
  it('is changed on other browsers before anything else', async () => {
    const desk = await reset({ password: givenPassword }, site.stranger())
    expect((await desk.get('/faults')).location).toContain('/me/own')
    expect((await desk.post('/me/own', {})).text).toContain('a PIN does not work on this browser')
    expect((await desk.post('/me/own', { password: givenPassword })).text).toContain('the one you were given')
    expect((await desk.post('/me/own', { password: ownPassword })).location).toBe('/')
    expect((await desk.get('/faults')).status).toBe(200)
    expect(given()).toBe(null)
  })

  it('keeps nobody on the depot’s tablet: left empty it is taken away', async () => {
    const tablet = await reset({ pin: givenPin, password: givenPassword })
    expect((await tablet.get('/me/own')).text).toContain('Choose your own PIN and password')
    expect((await tablet.post('/me/own', { pin: '8264', password: '' })).location).toBe('/')
    expect(site.deps.storage.people.find('wren')).toMatchObject({ given: null, passwordHash: null })
    expect((await signIn(site.stranger(), givenPassword)).status).toBe(400)
  })
})

describe('who is asked', () => {
  it('is a new person, until they have chosen; the engineer sees who has not', async () => {
    const id = randomUUID()
    await isla.post('/people', { id, name: 'Fern Lode', role: 'technician', pin: givenPin, now: pin })
    expect((await isla.get('/people')).text).toContain('PIN not yet of their own choice')
    const fern = site.visitor()
    await fern.post('/sign-in', { name: 'Fern Lode', pin: givenPin })
    expect((await fern.get('/')).location).not.toBe('')
    expect((await fern.open('/')).text).toContain('Choose your own PIN')
    await fern.post('/me/own', { pin: '8264' })
    expect((await isla.get('/people')).text).not.toContain('not yet of their own choice')
  })

  it('is nobody who chose for themselves', async () => {
    await isla.post('/people/isla', { now: pin, pin: '8264' })
    expect(site.deps.storage.people.find('isla')?.given).toBe(null)
    const tablet = await site.as('wren')
    expect((await tablet.get('/me/own?return=%2Fsites')).location).toBe('/sites')
    await tablet.post('/me', { now: pin, pin: '8264' })
    expect(given()).toBe(null)
  })

  it('stays asked for all that was set, when it was set in two goes or for other reasons changed', async () => {
    await isla.post('/people/wren', { now: pin, password: givenPassword })
    await isla.post('/people/wren', { now: pin, pin: givenPin })
    await isla.post('/people/wren', { now: pin, role: 'technician' })
    expect(given()).toBe('PIN and password')
    site.deps.storage.people.update('wren', { pinHash: await site.deps.secrets.hash('8264') })
    expect(given()).toBe('PIN and password')
  })

  it('may sign out, change the look and let the tablet be covered all the same', async () => {
    const tablet = await reset({ pin: givenPin })
    expect((await tablet.post('/look', { look: 'night' })).status).not.toBe(403)
    expect((await tablet.post('/sign-out', {})).location).toBe('/sign-in')
  })
})
