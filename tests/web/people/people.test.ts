import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { hashToken } from '../../../server/auth/tokens.ts'
import { processorTime } from '../../support/processor-time.ts'
import { makeSite, people, pin, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, report } from '../../support/walking.ts'

const password = 'seven wet sleepers'
let site: Site
let isla: Visitor
beforeEach(async () => {
  site = await makeSite()
  site.deps.storage.people.update('isla', { passwordHash: await site.deps.secrets.hash(password) })
  isla = await site.as('isla')
})

const signIn = (visitor: Visitor, secret: string, name: string = people.wren.name) =>
  visitor.post('/sign-in', { name, pin: secret })
const isIn = async (visitor: Visitor) => (await visitor.get('/sites')).status === 200

describe('a PIN', () => {
  it('works on an enrolled tablet and nowhere else; a password works everywhere', async () => {
    const stranger = site.stranger()
    const refused = await signIn(stranger, pin, people.isla.name)
    expect([refused.status, refused.text.includes('only on a tablet that an engineer has enrolled')]).toEqual(
      [400, true],
    )
    expect(await isIn(stranger)).toBe(false)
    await signIn(stranger, password, people.isla.name)
    expect(await isIn(stranger)).toBe(true)
    const tablet = site.visitor()
    await signIn(tablet, password, people.isla.name)
    expect(await isIn(tablet)).toBe(true)
  })

  it('says nothing of who works here to other browsers', async () => {
    expect((await site.stranger().get('/sign-in')).text).not.toContain('Wren Aldous')
    expect((await site.visitor().get('/sign-in')).text).toContain('Wren Aldous')
  })

  it('works on every browser in the demo, where nothing is real', async () => {
    const demo = await makeSite({ demoNotice: 'Demo' })
    const stranger = demo.stranger()
    await signIn(stranger, pin)
    expect((await stranger.get('/faults')).status).toBe(200)
  })
})

describe('enrolling', () => {
  it('is done once by an engineer with the tablet in hand, and from then on a PIN works on it', async () => {
    const browser = site.stranger()
    await signIn(browser, password, people.isla.name)
    await browser.post('/tablets', { name: 'Van 7' })
    await browser.post('/sign-out', {})
    await signIn(browser, pin)
    expect(await isIn(browser)).toBe(true)
    expect((await isla.get('/tablets')).text).toContain('Van 7')
    expect((await isla.get('/trail')).text).toContain('Van 7')
  })

  it('is refused to others and under a name that is taken', async () => {
    const wren = await site.as('wren')
    expect((await wren.post('/tablets', { name: 'Mine' })).status).toBe(403)
    expect((await isla.post('/tablets', { name: 'van 3' })).text).toContain('There is a tablet of that name')
  })

  it('keeps the token only on the tablet', async () => {
    const browser = site.stranger()
    await signIn(browser, password, people.isla.name)
    await browser.post('/tablets', { name: 'Van 7' })
    const token = browser.agent.jar.getCookie('tablet', {
      domain: '127.0.0.1',
      path: '/',
      secure: false,
      script: false,
    })?.value
    expect(token?.length).toBeGreaterThan(40)
    const rows = JSON.stringify([
      ...site.deps.storage.tablets.list(),
      ...site.deps.storage.trail.list({ limit: 50 }),
    ])
    expect(rows).not.toContain(token)
    expect(site.deps.storage.tablets.findByToken(hashToken(token ?? ''))?.name).toBe('Van 7')
  })

  it('keeps how far the tablet’s clock is off, as it tells it', async () => {
    const wren = await site.as('wren')
    const ahead = site.deps.clock().getTime() + 180_000
    const send = (time: string) =>
      wren.agent.post('/look').type('form').set({ 'Sec-Fetch-Site': 'same-origin', 'X-Tablet-Clock': time })
    await send(String(ahead)).send({ look: 'day' })
    await send('nonsense').send({ look: 'day' })
    expect((await isla.get('/tablets')).text).toMatch(/Its clock was 180 s ahead/)
  })

  it('can be taken back: a lost tablet’s sessions end at once, and no PIN works on it', async () => {
    const wren = await site.as('wren')
    expect(await isIn(wren)).toBe(true)
    const elsewhere = site.stranger()
    await signIn(elsewhere, password, people.isla.name)
    await elsewhere.post('/tablets/van/revocation', {})
    expect(await isIn(wren)).toBe(false)
    await signIn(wren, pin)
    expect(await isIn(wren)).toBe(false)
    expect(await isIn(elsewhere)).toBe(true)
  })
})

describe('a shared tablet', () => {
  it('changes its user with one form, in seconds, and each write bears the right name and tablet', async () => {
    const tablet = await site.as('wren')
    const fault = await report(tablet)
    await attend(tablet, fault)
    expect(await processorTime(() => signIn(tablet, pin, people.moss.name))).toBeLessThan(2000)
    const second = await report(tablet, { position: 'down' })
    const { storage } = site.deps
    expect(storage.faults.get(second).fault.recordedBy).toBe('moss')
    const entry = storage.trail
      .list({ limit: 20 })
      .find(one => one.subject === 'faults' && one.key === second)
    expect(entry).toMatchObject({ personName: 'Moss Tarrick', tabletName: 'Van 3' })
  })

  it('covers itself when left alone, asks only for the PIN, and leads back with the work kept', async () => {
    const wren = await site.as('wren')
    expect((await wren.get('/faults')).html).toContain('<meta name="idle" content="30">')
    const covered = await wren.post('/cover', { return: '/faults/new?position=up' })
    expect(await isIn(wren)).toBe(false)
    const page = await wren.get(covered.location)
    expect(page.text).toContain('What you had typed is kept')
    expect(page.html).toContain('<option value="Wren Aldous" selected>')
    const back = await wren.post('/sign-in', {
      name: people.wren.name,
      pin,
      return: '/faults/new?position=up',
    })
    expect(back.location).toBe('/faults/new?position=up')
  })

  it('is covered by the server too, whatever its scripts do; a form sent then is kept', async () => {
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    site.pass(31)
    const kept = await find(wren, fault, 'supply', '96.4')
    expect([kept.status, kept.text.includes('96.4')]).toEqual([401, true])
  })

  it('shows nothing to Back after signing out', async () => {
    const wren = await site.as('wren')
    const out = await wren.agent.post('/sign-out').set('Sec-Fetch-Site', 'same-origin')
    expect(out.headers['clear-site-data']).toBe('"cache"')
    expect((await wren.get('/faults')).location).toContain('/sign-in')
  })
})

describe('wrong guesses', () => {
  async function guess(visitor: Visitor, times: number) {
    for (let n = 0; n < times; n++) await signIn(visitor, '0001')
  }

  it('are slowed down, never locked out, and the engineer is told once and can let the person try again', async () => {
    const tablet = site.visitor()
    await guess(tablet, 6)
    expect((await signIn(tablet, pin)).text).toContain('Too many wrong tries. Wait')
    expect((await isla.get('/open')).text).toContain('Wrong PINs or passwords were typed for Wren Aldous')
    expect((await isla.get('/people')).text).toMatch(/Wren Aldous, Mon 2 Nov 2026, 01:00, from Van 3/)
    await isla.post('/people/wren/release', {})
    await signIn(tablet, pin)
    expect(await isIn(tablet)).toBe(true)
    const events = site.deps.storage.trail.list({ limit: 100 }).filter(entry => entry.what === 'happened')
    expect(events.map(({ subject }) => subject).sort()).toEqual(['wait released', 'wrong PIN or password'])
  })

  it('are slowed down as well where an engineer overrides a fit on the technician’s page', async () => {
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await wren.post(`/faults/${fault}/departures`, {
      from: 'dead#supply',
      to: 'dead#telltale',
      reason: 'seen from the gate',
    })
    await find(wren, fault, 'telltale', '=dark')
    await wren.post(`/faults/${fault}/identity`, { typed: 'WH-3-U' })
    const wrong = {
      ...{
        action: 'unit replaced',
        words: 'dead',
        kind: 'transmitter module',
        serialOut: 'T100',
        serialIn: 'T200',
      },
      ...{
        variantIn: 'R1',
        asFound0: 'A',
        asLeft0: 'A',
        overrideName: people.isla.name,
        overrideReason: 'agreed',
      },
    }
    for (let n = 0; n < 4; n++)
      await wren.post(`/faults/${fault}/repairs`, { ...wrong, overridePin: `000${n}` })
    const right = await wren.post(`/faults/${fault}/repairs`, { ...wrong, overridePin: pin })
    expect(right.status).toBe(400)
    site.pass(1)
    expect((await wren.post(`/faults/${fault}/repairs`, { ...wrong, overridePin: pin })).status).toBe(303)
  })
})

describe('one’s own PIN and password', () => {
  it('are changed on the old one’s word, and end every other session', async () => {
    const [here, there] = [await site.as('wren'), await site.as('wren')]
    expect((await here.post('/me', { now: '0001', pin: '7391' })).text).toContain('do not go together')
    expect((await here.post('/me', { now: pin, pin: '1234' })).text).toContain('digits are in a row')
    expect((await here.post('/me', { now: pin, password: 'Password2026!' })).text).toContain('common word')
    expect(
      (await here.post('/me', { now: pin, pin: '7391', password: 'three foxes on a gantry' })).text,
    ).toContain('Changed.')
    expect([await isIn(here), await isIn(there)]).toEqual([true, false])
    const stranger = site.stranger()
    await signIn(stranger, 'three foxes on a gantry')
    expect(await isIn(stranger)).toBe(true)
  })

  it('of others are set by an engineer, who can’t end their own access or change their own role', async () => {
    const wren = await site.as('wren')
    await isla.post('/people/wren', { now: pin, pin: '7391' })
    expect(await isIn(wren)).toBe(false)
    await signIn(wren, '7391')
    await wren.post('/me/own', { pin: '8264' })
    expect(await isIn(wren)).toBe(true)
    expect((await isla.post('/people/isla', { active: 'no' })).status).toBe(400)
    expect((await isla.post('/people/isla', { role: 'technician' })).status).toBe(400)
    await isla.post('/people/wren', { active: 'no' })
    expect(await isIn(wren)).toBe(false)
  })
})

describe('the first account', () => {
  const code = 'abcd-efgh-jkmn-pqrs'
  const account = { code, name: 'Hale Wick', password: 'nine grey signals', pin: '7391' }

  it('needs the printed code, a password and a PIN, and is made once', async () => {
    const fresh = await makeSite({ empty: true })
    fresh.deps.storage.setupCodes.create(hashToken(code.replaceAll('-', '')))
    const browser = fresh.stranger()
    expect((await browser.get('/')).location).toBe('/setup')
    expect((await browser.post('/setup', { ...account, code: 'wrong' })).status).toBe(400)
    expect((await browser.post('/setup', { ...account, password: 'short' })).text).toContain('10 characters')
    expect((await browser.post('/setup', account)).location).toBe('/first-steps')
    expect((await browser.get('/people')).text).toContain('Hale Wick')
    expect((await fresh.stranger().post('/setup', { ...account, name: 'Another' })).status).toBe(409)
  })
})

it('adds a person once, however often the form is sent', async () => {
  const id = randomUUID()
  const form = { id, name: 'Fern Lode', role: 'technician', pin: '7391', now: pin }
  for (let n = 0; n < 2; n++) expect((await isla.post('/people', form)).status).toBe(303)
  expect((await isla.post('/people', { ...form, id: randomUUID() })).text).toContain('a person of that name')
  expect((await isla.post('/people', { ...form, id: randomUUID(), name: 'X', pin: '1111' })).text).toContain(
    'repeats',
  )
})
