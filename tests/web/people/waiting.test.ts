import { beforeEach, describe, expect, it } from 'vitest'
import { makeSite, people, pin, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, report } from '../../support/walking.ts'

// What happens to people while a hash is worked out for them.

let site: Site
let isla: Visitor
beforeEach(async () => {
  site = await makeSite()
  isla = await site.as('isla')
  site.deps.storage.people.update('odo', { role: 'engineer' })
})

/** Does something once while the n-th hash from now is worked out. */
function whileHashing(nth: number, act: () => void): void {
  const { hash, verify } = site.deps.secrets
  let calls = 0
  const meanwhile = <T>(result: T): T => {
    calls += 1
    if (calls === nth) act()
    return result
  }
  site.deps.secrets.hash = async (...parameters) => meanwhile(await hash(...parameters))
  site.deps.secrets.verify = async (...parameters) => meanwhile(await verify(...parameters))
}

const all = () => JSON.stringify(site.deps.storage.people.list())
const demote = () => site.deps.storage.people.update('isla', { role: 'technician' })
const endAccess = () => site.deps.storage.people.update('isla', { active: false })
const signOut = () => site.deps.storage.sessions.endAllOf('isla')

describe('an engineer who may no longer look after people when the hash is ready', () => {
  const forms = [
    ['a new person', '/people', { name: 'Fern Lode', role: 'engineer', pin: '7391', now: pin }, 2],
    ['a PIN', '/people/wren', { pin: '7391', now: pin }, 2],
    ['a password', '/people/wren', { password: 'three foxes on a gantry', now: pin }, 2],
    ['a role', '/people/wren', { role: 'engineer', now: pin }, 1],
    ['access', '/people/rue', { active: 'yes', now: pin }, 1],
  ] as const
  const reasons = [
    ['the role is gone', demote, 403],
    ['access is ended', endAccess, 401],
    ['they were signed out', signOut, 401],
  ] as const

  it.each(
    forms.flatMap(([what, address, form, hashes]) =>
      reasons.flatMap(([why, act, status]) =>
        Array.from({ length: hashes }, (_, n) => ({ what, address, form, why, act, status, nth: n + 1 })),
      ),
    ),
  )('sets nothing: $what, $why at hash $nth', async ({ address, form, act, status, nth }) => {
    let after = ''
    whileHashing(nth, () => {
      act()
      after = all()
    })
    const refused = await isla.post(address, { ...form })
    // A PIN that is no longer good is said so on the form.
    expect([status, 400]).toContain(refused.status)
    expect(after).not.toBe('')
    expect(all()).toBe(after)
  })
})

it('two engineers who demote each other at once leave one of them', async () => {
  const odo = await site.as('odo')
  const answers = await Promise.all([
    isla.post('/people/odo', { role: 'technician', now: pin }),
    odo.post('/people/isla', { role: 'technician', now: pin }),
  ])
  const engineers = site.deps.storage.people
    .list()
    .filter(({ role, active }) => role === 'engineer' && active)
  expect(engineers).toHaveLength(1)
  expect(answers.map(({ status }) => status).sort()).not.toEqual([303, 303])
  const left = engineers[0]?.id === 'isla' ? isla : odo
  expect((await left.get('/people')).status).toBe(200)
})

describe('one’s own', () => {
  it.each([
    ['PIN', 2],
    ['PIN', 1],
  ] as const)('%s stays the one an engineer set while the hash %i was worked out', async (_, nth) => {
    const wren = await site.as('wren')
    whileHashing(nth, () => {
      site.deps.storage.people.update('wren', { pinHash: 'of the engineer', given: 'PIN' })
      site.deps.storage.sessions.endAllOf('wren')
    })
    await wren.post('/me', { now: pin, pin: '7391' })
    expect(site.deps.storage.people.find('wren')).toMatchObject({ pinHash: 'of the engineer', given: 'PIN' })
    expect((await wren.get('/sites')).status).toBe(303)
  })

  it.each([1, 2])('choice is not taken from somebody who was signed out at hash %i', async nth => {
    const wren = await site.as('wren')
    site.deps.storage.people.update('wren', { given: 'PIN' })
    whileHashing(nth, () => site.deps.storage.people.update('wren', { active: false }))
    expect((await wren.post('/me/own', { pin: '7391' })).status).toBe(401)
    expect(site.deps.storage.people.find('wren')?.given).toBe('PIN')
  })

  it('sessions are not begun anew by somebody who was signed out meanwhile', async () => {
    const wren = await site.as('wren')
    whileHashing(1, () => site.deps.storage.sessions.endAllOf('wren'))
    expect((await wren.post('/me/sessions', { secret: pin, session: 'others' })).status).toBe(401)
    expect((await wren.get('/sites')).status).toBe(303)
  })
})

describe('a unit that an engineer lets in on the technician’s page', () => {
  const wrongUnit = {
    ...{ action: 'unit replaced', words: 'dead', kind: 'transmitter module', serialOut: 'T100' },
    ...{ serialIn: 'T200', variantIn: 'R1', asFound0: 'A', asLeft0: 'A' },
    ...{ overrideName: people.isla.name, overrideReason: 'agreed', overridePin: pin },
  }

  it.each([
    ['the technician is signed out', () => site.deps.storage.sessions.endAllOf('wren'), 401],
    ['the technician is one no more', () => site.deps.storage.people.update('wren', { role: 'author' }), 403],
    ['the engineer is one no more', demote, 400],
    ['the engineer’s access is ended', endAccess, 400],
  ] as const)('is not recorded when meanwhile %s', async (_, act, status) => {
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const aside = { from: 'dead#supply', to: 'dead#telltale', reason: 'seen from the gate' }
    await wren.post(`/faults/${fault}/departures`, aside)
    await find(wren, fault, 'telltale', '=dark')
    await wren.post(`/faults/${fault}/identity`, { typed: 'WH-3-U' })
    whileHashing(1, act)
    expect((await wren.post(`/faults/${fault}/repairs`, { ...wrongUnit })).status).toBe(status)
    expect(site.deps.storage.faults.get(fault).repairs).toEqual([])
  })
})
