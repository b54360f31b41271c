// Every form of the site map that carries the id its page was made with: sent again it is answered as before, with other
// words it is a conflict that shows both, and neither changes what is on record.

import { randomUUID } from 'node:crypto'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { reportKinds } from '../../../server/storage/knowledge/reports.ts'
import { siteMap } from '../../../server/web/routes.ts'
import { everyPage } from '../../browser/every-page.ts'
import { makeSite, pin, type Site } from '../../support/site.ts'
import { Visitor } from '../../support/visitor.ts'
import { attend, find, identify, report, restoreAll } from '../../support/walking.ts'

/** What is on record, but for what only tells that somebody was there. */
function recorded({ db }: Site): string {
  const tables = db
    .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
    .pluck()
    .all()
    .filter(name => !['sessions', 'tablets'].includes(name))
  return tables.map(name => `${name} ${db.prepare(`SELECT count(*) FROM ${name}`).pluck().get()}`).join('\n')
}

describe('a form sent twice', () => {
  let site: Site
  let wren: Visitor
  let fault: string
  beforeEach(async () => {
    site = await makeSite()
    wren = await site.as('wren')
    fault = await report(wren)
    await attend(wren, fault)
  })

  const supply = { tree: 'dead', check: 'supply', how: 'reading', text: '110' }

  it('is answered as before, without a second entry', async () => {
    const form = { ...supply, id: randomUUID() }
    const first = await wren.post(`/faults/${fault}/findings`, form)
    const again = await wren.post(`/faults/${fault}/findings`, form)
    expect([first.status, again.status, again.location]).toEqual([303, 303, first.location])
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(1)
  })

  it('with other words shows both, and records neither over the other', async () => {
    const id = randomUUID()
    await wren.post(`/faults/${fault}/findings`, { ...supply, id })
    const other = await wren.post(`/faults/${fault}/findings`, { ...supply, id, text: '60' })
    expect(other.status).toBe(409)
    expect(other.text).toMatch(/Reading On record: 110 Sent now: 60/)
    expect(site.deps.storage.faults.get(fault).findings).toMatchObject([{ text: '110' }])
  })

  it('by script is told of the conflict as data', async () => {
    const id = randomUUID()
    await wren.post(`/faults/${fault}/findings`, { ...supply, id })
    const sent = wren.agent.post(`/faults/${fault}/findings`).type('form').set('Accept', 'application/json')
    const other = await sent.set('Sec-Fetch-Site', 'same-origin').send({ ...supply, id, text: '60' })
    expect([other.status, other.body]).toEqual([409, { kept: null, conflict: true }])
  })

  it('to another address is a conflict too', async () => {
    const id = randomUUID()
    await wren.post(`/faults/${fault}/findings`, { ...supply, id })
    const other = await wren.post(`/faults/${fault}/disturbances`, { id, item: 'the fuse' })
    expect(other.status).toBe(409)
    expect(site.deps.storage.faults.get(fault).disturbances).toEqual([])
  })

  it('that was refused at first may say something else', async () => {
    const id = randomUUID()
    const refused = await wren.post(`/faults/${fault}/findings`, { ...supply, id, text: 'a lot' })
    expect(refused.status).toBe(400)
    expect((await wren.post(`/faults/${fault}/findings`, { ...supply, id })).status).toBe(303)
  })

  it('keeps no PIN, and forgets what it said once it is too old to be sent again', async () => {
    const id = randomUUID()
    await wren.post(`/faults/${fault}/findings`, { ...supply, id, overridePin: '4831' })
    expect(site.deps.storage.sentForms.find(id)?.fields).not.toHaveProperty('overridePin')
    site.deps.storage.sentForms.prune('2027-01-01T00:00:00.000Z')
    expect(site.deps.storage.sentForms.find(id)?.fields).toBeNull()
    const other = await wren.post(`/faults/${fault}/findings`, { ...supply, id, text: '60' })
    expect([other.status, other.text.includes('no longer known here')]).toEqual([409, true])
  })

  it('stands with its finding or not at all', async () => {
    const id = randomUUID()
    const add = vi.spyOn(site.deps.storage.sentForms, 'add').mockImplementation(() => {
      throw new Error('the disk went away')
    })
    expect((await wren.post(`/faults/${fault}/findings`, { ...supply, id })).status).toBe(500)
    add.mockRestore()
    expect(site.deps.storage.faults.get(fault).findings).toEqual([])
  })
})

describe('every form that was recorded', () => {
  const post = Visitor.prototype.post
  afterEach(() => {
    Visitor.prototype.post = post
  })

  it('is answered as before when it comes again, and is a conflict with other words', async () => {
    const tried = new Map<string, string[]>()
    let site: Site | null = null
    Visitor.prototype.post = async function (address, fields) {
      const form = { id: randomUUID(), ...fields }
      const first = await post.call(this, address, form)
      const sent = site?.deps.storage.sentForms.find(form.id)
      if (!site || !sent || first.status !== 303) return first
      const before = recorded(site)
      const again = await post.call(this, address, form)
      const other = await post.call(this, address, { ...form, note: 'something else was typed' })
      tried.set(routeOf(address), [
        `${again.status} ${again.location === sent.next}`,
        `${other.status} ${other.text.includes('something else was typed')}`,
        String(recorded(site) === before),
      ])
      return first
    }
    const { site: told } = await everyPage(made => {
      site = made
    })
    await sendTheOtherForms(told)
    for (const [route, came] of tried)
      expect([route, came]).toEqual([route, ['303 true', '409 true', 'true']])
    const posts = siteMap.filter(({ method }) => method === 'post').map(({ path }) => path)
    expect(posts.filter(path => !tried.has(path)).sort()).toEqual(withoutTwice)
  })
})

function routeOf(address: string): string {
  const fits = ({ path }: { path: string }) => new RegExp(`^${path.replace(/:\w+/g, '[^/]+')}$`).test(address)
  return siteMap.find(route => route.method === 'post' && fits(route))?.path ?? address
}

/** What the story of all pages does not send. */
async function sendTheOtherForms(site: Site): Promise<void> {
  const wren = await site.as('wren')
  const moss = await site.as('moss')
  await atTheFault(site, wren, moss)
  await atTheDesk(site, await site.as('isla'))
  await atTheTrees(site, await site.as('odo'), await site.as('isla'))
}

async function atTheFault(site: Site, wren: Visitor, moss: Visitor): Promise<void> {
  const fault = await report(wren)
  await attend(wren, fault)
  await find(wren, fault, 'supply', '110')
  await identify(wren, fault)
  await find(wren, fault, 'loop-resistance', '1.1')
  await wren.post(`/faults/${fault}/disturbances`, { item: 'strap across L1 and L2' })
  await wren.post(`/faults/${fault}/reports`, {
    tree: 'dead',
    check: 'supply',
    kind: reportKinds[0],
    words: 'S2?',
  })
  const [report_] = site.deps.storage.reports.list()
  const odo = await site.as('odo')
  await odo.post(`/field-reports/${report_?.id}/answers`, {
    words: 'It is on the left.',
    reply: 'It is on the left.',
  })
  const answer = site.deps.storage.reports.list()[0]?.answers[0]
  if (answer) await wren.post(`/report-answers/${answer.id}/receipt`, {})
  await restoreAll(wren, fault)
  await breakOffARound(wren)
  const first = randomUUID()
  await wren.post(`/faults/${fault}/handovers`, { id: first, nextStep: 'look at the lamp', words: 'dark' })
  await wren.post(`/faults/${fault}/handovers/${first}/withdrawal`, {})
  const id = randomUUID()
  await wren.post(`/faults/${fault}/handovers`, { id, nextStep: 'measure the insulation', words: 'soaked' })
  const at = `/faults/${fault}/handovers/${id}`
  const keys = [...(await moss.get(at)).html.matchAll(/name="key"\s+value="([^"]+)"/g)].map(
    ([, key = '']) => key,
  )
  for (const key of keys) await moss.post(`${at}/confirmations`, { key })
  await moss.post(`${at}/acceptance`, {
    spokenTo: 'signaller',
    protection: 'line blocked',
    isolation: 'nothing',
  })
}

async function breakOffARound(wren: Visitor): Promise<void> {
  const round = randomUUID()
  await wren.post('/positions/up/rounds', { id: round, tree: 'round', typed: 'WH-3-U' })
  const { html } = await wren.get(`/rounds/${round}/end`)
  const keys = [...html.matchAll(/name="(key\d+)"\s+value="([^"]+)"/g)]
  const fields = Object.fromEntries(keys.map(([, name = '', key = '']) => [name, key]))
  const items = Object.fromEntries(keys.map((_, n) => [`item${n}`, 'restored']))
  await wren.post(`/rounds/${round}/end`, { how: 'broken off', words: 'called away', ...fields, ...items })
}

async function atTheDesk(site: Site, isla: Visitor): Promise<void> {
  const wren = await site.as('wren')
  const held = await report(wren, { protection: 'lost' })
  await attend(wren, held)
  await isla.post(`/faults/${held}/release`, { reason: 'data taken, photographs made' })
  const [closed] = site.deps.storage.faults.listBySite('site', 50).filter(fault => fault.closedAt !== null)
  await isla.post(`/faults/${closed?.id}/notes`, { words: 'logger fitted', settled: 'yes' })
  await isla.post(`/review/faults/${closed?.id}/delay`, { minutes: '12' })
  const id = randomUUID()
  const review = {
    why: 'third in a year',
    owner: 'isla',
    cause: 'joint',
    action: 'remake it',
    due: '2026-12-01',
  }
  await isla.post('/review/positions/up/reviews', { id, ...review })
  await isla.post(`/review/reviews/${id}/entries`, { owner: 'isla', action: 'remade', doneOn: '2026-10-20' })
  await isla.post('/review/units/unit/holds', { state: 'kept apart', reason: 'comes back' })
  await isla.post('/review/units/unit/changes', { why: 'taken in as a spare' })
  await isla.post(`/actions/${id}/done`, { result: 'remade', doneOn: '2026-10-20' })
  await isla.post('/review/units/unit/visits', { result: 'tested good', words: 'two days on the bench' })
  await isla.post('/review/known', { of: 'faults here', since: '2026-06-01', words: 'the register is whole' })
  const meter = randomUUID()
  const functions = {
    unit0: 'V AC',
    range0: '600',
    percent0: '1',
    counts0: '3',
    resolution0: '0.1',
    method0: 'direct',
  }
  const instrument = { calibrationId: randomUUID(), kind: 'multimeter', serial: 'Z-7', due: '2027-03-31' }
  await isla.post('/instruments/register', { id: meter, ...instrument, ...functions })
  await isla.post(`/instruments/register/${meter}/calibrations`, { due: '2028-03-31' })
  await placesByHand(isla)
  await isla.post('/tablets', { name: 'Van 9' })
  await isla.post('/first-steps', { step: 'labels', settled: 'yes' })
  const person = { name: 'Fenn Harrow', role: 'technician', pin: '483927', now: pin }
  await isla.post('/people', person)
}

async function placesByHand(isla: Visitor): Promise<void> {
  const [near, far, position] = [randomUUID(), randomUUID(), randomUUID()]
  const words = { line: 'Shore', mileage: '', access: '' }
  await isla.post('/sites', { id: near, name: 'Near', ...words })
  await isla.post(`/sites/${near}`, { name: 'Nearer', ...words, why: 'moved' })
  await isla.post(`/sites/${near}/merging`, { into: 'site', why: 'one place' })
  await isla.post('/sites', { id: far, name: 'Far', ...words })
  await isla.post(`/sites/${far}/removal`, { why: 'no such place' })
  const made = { plate: 'WH-9', name: 'Ninth', indicated: 'no', inService: '2020-04-01', outOfService: '' }
  await isla.post('/sites/site/positions', { id: position, equipment: 'small-transmitter', ...made })
  await isla.post(`/positions/${position}`, { ...made, name: 'Tenth', why: 'counted again' })
}

async function atTheTrees(site: Site, odo: Visitor, isla: Visitor): Promise<void> {
  const path = 'equipment/small-transmitter.md'
  await odo.post('/drafts', { path, from: 'use' })
  const draft = site.deps.storage.drafts.findByPath(path)
  if (!draft) throw new Error('no draft was begun')
  const text = `${draft.head.text ?? ''}\n`
  await odo.post(`/drafts/${draft.id}/texts`, { over: draft.head.id, text, how: 'check' })
  const id = randomUUID()
  await odo.post('/proposals', { id, note: 'The supply takes longer', drafts: draft.id })
  await isla.post(`/proposals/${id}/decisions`, { verdict: 'approved', words: '' })
  await odo.post(`/proposals/${id}/publication`, {})
  await odo.post(`/editions/${site.deps.library.current().id}/withdrawal`, { words: 'too long' })
  const over =
    /name="over" value="([^"]+)"/.exec((await odo.get('/limits/small-transmitter')).html)?.[1] ?? ''
  const limit = { 'value-0': '104 to 116', 'unit-0': 'V AC', 'source-0': 'Letter 7' }
  await odo.post('/limits/small-transmitter', { over, ...limit })
}

/** Forms without an id of their own, or of which the second sending is held elsewhere. */
const withoutTwice = [
  '/cover',
  '/drafts/:draft',
  '/drafts/:draft/practice',
  '/drafts/files',
  '/drafts/import',
  '/faults/:fault/closure/review',
  '/faults/:fault/photos',
  '/import',
  '/import/:import/cancellation',
  '/import/:import/undoing',
  '/import/files/:file/check',
  '/import/files/:file/reading',
  '/instruments/chosen',
  '/instruments/register/:instrument/functions',
  '/instruments/register/:instrument/retirement',
  '/knowledge/:tree/withdrawal',
  '/knowledge/:tree/withdrawal/end',
  '/limits/:kind/file',
  '/look',
  '/me',
  '/me/own',
  '/me/sessions',
  '/people/:person',
  '/people/:person/release',
  '/people/:person/sign-out',
  '/practice',
  '/practice/forget',
  '/practice/stop',
  '/review/rules',
  '/rounds/intervals',
  '/setup',
  '/sign-out',
  '/tablet/acts',
  '/tablet/contact',
  '/tablet/rescue',
  '/tablet/shift',
  '/tablets/:tablet/revocation',
]
