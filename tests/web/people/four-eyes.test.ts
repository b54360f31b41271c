// Whoever approves, releases or overrides is another person, and not one whom the first let in.

import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { hashToken } from '../../../server/auth/tokens.ts'
import { makeSite, people, pin, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, identify, report } from '../../support/walking.ts'

let site: Site
let isla: Visitor
beforeEach(async () => {
  site = await makeSite()
  isla = await site.as('isla')
})

const hale = 'Hale Wick'

/** Isla makes an account and signs in with it herself; gives its id. */
async function secondAccount(role: string): Promise<{ id: string; visitor: Visitor }> {
  const id = randomUUID()
  const made = await isla.post('/people', { id, name: hale, role, pin: '7391', now: pin })
  expect(made.status).toBe(303)
  const visitor = site.visitor()
  await visitor.post('/sign-in', { name: hale, pin: '7391' })
  expect((await visitor.post('/me/own', { pin: '8264' })).status).toBe(303)
  return { id, visitor }
}

/** A changed tree put forward by somebody; gives the proposal's address. */
function propose(by: string): string {
  const { drafts, proposals } = site.deps.storage
  const edition = site.deps.library.current().id
  const path = 'trees/dead.md'
  const text = site.deps.library.files(edition).find(file => file.path === path)?.text ?? ''
  const changed = text.replace('- Takes: 3 min', '- Takes: 4 min')
  drafts.begin({ id: 'draft', path, baseEditionId: edition, by, textId: 'text', text: changed })
  const files = [{ path, draftId: 'draft', text: changed }]
  proposals.create({ id: 'one', by, baseEditionId: edition, note: 'Longer', files, writers: [by] })
  return '/proposals/one'
}

const approve = (visitor: Visitor, at: string) => visitor.post(`${at}/decisions`, { verdict: 'approved' })
const state = () => site.deps.storage.proposals.get('one').state

describe('a proposal', () => {
  it('can’t be approved from an account its writer made, and says why and who can', async () => {
    const at = propose('isla')
    const { visitor } = await secondAccount('reviewer')
    const page = await visitor.get(at)
    expect(page.text).toContain('You can’t approve it:')
    expect(page.text).toContain('Isla Verrin made your account or gave you the PIN or password you have')
    expect(page.html).not.toContain('value="approved"')
    const refused = await approve(visitor, at)
    expect([refused.status, state()]).toEqual([403, 'waiting'])
    expect(refused.text).toContain('You are in on the word of Isla Verrin')
    expect((await approve(await site.as('rue'), at)).status).toBe(303)
    expect(state()).toBe('approved')
  })

  it('nor by somebody whose PIN its writer has set anew since, nor from an account made by such a one', async () => {
    const at = propose('isla')
    const { id, visitor } = await secondAccount('engineer')
    await visitor.post('/people', { name: 'Third Hand', role: 'reviewer', pin: '1937', now: '8264' })
    const third = site.visitor()
    await third.post('/sign-in', { name: 'Third Hand', pin: '1937' })
    await third.post('/me/own', { pin: '4628' })
    expect((await approve(third, at)).status).toBe(403)
    await isla.post('/people/rue', { pin: '7391', now: pin })
    const rue = site.visitor()
    await rue.post('/sign-in', { name: people.rue.name, pin: '7391' })
    await rue.post('/me/own', { pin: '8264' })
    expect((await approve(rue, at)).status).toBe(403)
    expect([id, state()]).toEqual([id, 'waiting'])
  })

  it('can be once whoever looks after the machine let that person in', async () => {
    const at = propose('isla')
    const { visitor } = await secondAccount('engineer')
    expect((await approve(visitor, at)).status).toBe(403)
    const code = 'abcd-efgh-jkmn-pqrs'
    site.deps.storage.setupCodes.createRescue(hashToken(code.replaceAll('-', '')))
    const again = site.visitor()
    const account = { code, name: hale, password: 'nine grey signals', pin: '5173' }
    expect((await again.post('/setup', account)).location).toBe('/first-steps')
    expect((await approve(again, at)).status).toBe(303)
  })

  it('approved by whoever let its writer in says so', async () => {
    const { id } = await secondAccount('author')
    const at = propose(id)
    expect((await approve(isla, at)).status).toBe(303)
    expect((await (await site.as('odo')).get(at)).text).toContain(
      'Not quite another pair of eyes: Isla Verrin made the account of Hale Wick',
    )
    const other = await site.as('odo')
    expect((await other.get(at)).text).not.toContain('made the account of Odo Pell')
  })
})

describe('a proposal from an account that its approver made', () => {
  it('needs another engineer’s word where there is one, who is named', async () => {
    const pinHash = await site.deps.secrets.hash('4629')
    site.deps.storage.people.create({ id: 'tam', name: 'Tam Orrel', role: 'engineer', pinHash })
    const { id } = await secondAccount('author')
    const at = propose(id)
    const page = await isla.get(at)
    expect(page.text).toContain('Tam Orrel approves it')
    expect(page.html).not.toContain('value="approved"')
    const refused = await approve(isla, at)
    expect([refused.status, state()]).toEqual([403, 'waiting'])
    expect(refused.text).toContain('Tam Orrel must approve it')
    const tam = site.visitor()
    await tam.post('/sign-in', { name: 'Tam Orrel', pin: '4629' })
    expect((await approve(tam, at)).status).toBe(303)
  })

  it('does not need one whom the approver or the writer made', async () => {
    const { id } = await secondAccount('author')
    await isla.post('/people', { name: 'Own Make', role: 'engineer', pin: '1937', now: pin })
    expect((await approve(isla, propose(id))).status).toBe(303)
  })
})

describe('held evidence', () => {
  it('is not released by somebody who attended the fault, nor by whom such a one let in', async () => {
    const wren = await site.as('wren')
    const fault = await report(wren, { protection: 'lost' })
    await attend(wren, fault)
    site.deps.storage.people.update('wren', { role: 'engineer' })
    const own = await wren.post(`/faults/${fault}/release`, { reason: 'it is all right' })
    expect([own.status, own.text.includes('You attended this fault')]).toEqual([403, true])
    await wren.post('/people', { name: hale, role: 'engineer', pin: '7391', now: pin })
    const second = site.visitor()
    await second.post('/sign-in', { name: hale, pin: '7391' })
    await second.post('/me/own', { pin: '8264' })
    const refused = await second.post(`/faults/${fault}/release`, { reason: 'it is all right' })
    expect([refused.status, refused.text.includes('word of Wren Aldous')]).toEqual([403, true])
    expect(site.deps.storage.faults.get(fault).holdReleases).toEqual([])
    expect((await isla.post(`/faults/${fault}/release`, { reason: 'seen' })).status).toBe(303)
  })
})

describe('a unit that does not fit', () => {
  it('is not overridden by an engineer whom the technician let in', async () => {
    site.deps.storage.people.update('wren', { role: 'engineer' })
    const before = await site.as('wren')
    await before.post('/people', { name: hale, role: 'engineer', pin: '7391', now: pin })
    const second = site.visitor()
    await second.post('/sign-in', { name: hale, pin: '7391' })
    await second.post('/me/own', { pin: '8264' })
    site.deps.storage.people.update('wren', { role: 'technician' })
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const away = { from: 'dead#supply', to: 'dead#telltale', reason: 'seen from the gate' }
    await wren.post(`/faults/${fault}/departures`, away)
    await find(wren, fault, 'telltale', '=dark')
    await identify(wren, fault)
    const override = (overrideName: string, overridePin: string) =>
      wren.post(`/faults/${fault}/repairs`, {
        ...{ action: 'unit replaced', words: 'module dead', kind: 'transmitter module' },
        ...{ serialOut: 'T100', serialIn: 'T200', variantIn: 'R1', asFound0: 'A', asLeft0: 'A' },
        ...{ overrideName, overridePin, overrideReason: 'trial agreed' },
      })
    const refused = await override(hale, '8264')
    expect([refused.status, refused.text.includes('whom you let in yourself')]).toEqual([400, true])
    expect((await override(people.isla.name, pin)).status).toBe(303)
  })
})
