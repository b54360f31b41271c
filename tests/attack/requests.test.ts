import { randomUUID } from 'node:crypto'
import request from 'supertest'
import { beforeAll, describe, expect, it } from 'vitest'
import { siteMap } from '../../server/web/routes.ts'
import { makeSite, people, pin } from '../support/site.ts'
import type { Visitor } from '../support/visitor.ts'
import { attend, close, find, report } from '../support/walking.ts'
import { makeTarget, type Target } from './addresses.ts'

let target: Target
let wren: Visitor
let isla: Visitor
beforeAll(async () => {
  target = await makeTarget()
  wren = await target.site.as('wren')
  isla = await target.site.as('isla')
})
let cookies: Promise<string> | undefined
const posts = siteMap.filter(route => route.method === 'post')
const gets = siteMap.filter(route => route.method === 'get')
const named = (routes: typeof posts) => routes.map(route => [route.path, route] as const)

/** A signed-in engineer's and technician's cookie. */
async function cookieOf(name: keyof typeof people): Promise<string> {
  const visitor = target.site.visitor()
  const sent = visitor.agent.post('/sign-in').type('form').set('Sec-Fetch-Site', 'same-origin')
  const { headers } = await sent.send({ name: people[name].name, pin })
  return ((headers['set-cookie'] ?? []) as unknown as string[]).map(one => one.split(';')[0]).join('; ')
}

describe.each(named(posts))('a form sent to %s', (_, route) => {
  it('is refused from another site, though the person is signed in', async () => {
    cookies ??= cookieOf('wren')
    const cookie = await cookies
    const { storage } = target.site.deps
    const before = JSON.stringify([storage.faults.get(target.fault), storage.faults.listOpen().length])
    for (const from of [
      { 'Sec-Fetch-Site': 'cross-site' },
      { Origin: 'http://elsewhere.example' },
      { Origin: 'null' },
      {},
    ]) {
      const sent = request(target.site.app)
        .post(target.addressOf(route))
        .type('form')
        .set({ Cookie: cookie, ...from })
      expect((await sent.send({ id: randomUUID() })).status).toBe(403)
    }
    expect(JSON.stringify([storage.faults.get(target.fault), storage.faults.listOpen().length])).toBe(before)
  })

  it('without fields, as other than a form, or with fields twice, is answered and never breaks anything', async () => {
    // A form sent to sign in or out is answered to somebody who is not signed in.
    const nobody = target.site.visitor()
    for (const visitor of route.may === 'anyone' ? [nobody] : [wren, isla]) {
      const ask = () => visitor.agent.post(target.addressOf(route)).set('Sec-Fetch-Site', 'same-origin')
      const twice =
        'id=1&id=2&name=a&name=b&pin=1&pin=2&action=a&action=b&kind=x&kind=y&__proto__=a&__proto__=b&how=a&how=b'
      for (const answer of [
        await ask(),
        await ask()
          .type('json')
          .send({ id: { $gt: '' }, name: ['a'], __proto__: { admin: true } }),
        await ask().type('form').send(twice),
        await ask().set('Content-Type', 'multipart/form-data; boundary=x').send('--x--'),
      ]) {
        expect(answer.status).toBeLessThan(500)
        expect(answer.text ?? '').not.toMatch(/at .*\.(ts|js):\d+|node_modules|\/server\//)
      }
    }
  })
})

describe.each(named(gets))('the page %s', (_, route) => {
  it('lets nothing run but our own scripts, and is kept by no browser', async () => {
    for (const visitor of [wren, isla]) {
      const { headers, text, status } = await visitor.agent.get(target.addressOf(route))
      expect(headers['content-security-policy']).toContain(
        "default-src 'none';script-src 'self';style-src 'self'",
      )
      expect(headers['content-security-policy']).not.toContain('unsafe')
      expect(headers).toMatchObject({ 'x-content-type-options': 'nosniff', 'referrer-policy': 'same-origin' })
      expect(headers['x-powered-by']).toBeUndefined()
      if (status === 200) expect(headers['cache-control']).toBe('no-store')
      expect(text).not.toMatch(/<script(?![^>]*\ssrc=)|\son[a-z]+="|\sstyle="/)
    }
  })
})

describe('a form of one’s own', () => {
  it('sent again writes nothing more, and with other words under the same id is refused', async () => {
    const fault = await report(wren)
    await attend(wren, fault)
    const id = randomUUID()
    await find(wren, fault, 'supply', '110', { id })
    await find(wren, fault, 'supply', '110', { id })
    await find(wren, fault, 'loop-resistance', '1', { id })
    expect(target.site.deps.storage.faults.get(fault).findings).toHaveLength(1)
    await close(wren, fault, people.wren.name, { outcome: 'not reproduced' })
  })

  it('can’t be sent for another person: who did it is whoever is signed in', async () => {
    const fault = await report(wren)
    await attend(wren, fault, { by: 'isla', personId: 'isla', person: 'isla', startedAt: '2001-01-01' })
    await find(wren, fault, 'supply', '110', {
      by: 'isla',
      at: '2001-01-01T00:00:00Z',
      faultId: 'other',
      seq: '1',
    })
    const { attendances, findings } = target.site.deps.storage.faults.get(fault)
    expect([attendances[0]?.personId, findings[0]?.by]).toEqual(['wren', 'wren'])
    expect(findings[0]?.at.slice(0, 4)).toBe('2026')
    await close(wren, fault, people.wren.name, { outcome: 'not reproduced' })
  })

  it('can’t be signed in another’s name', async () => {
    const fault = await report(wren)
    await attend(wren, fault)
    const signed = await close(wren, fault, people.isla.name, { outcome: 'not reproduced' })
    expect(signed.status).toBe(400)
    expect(target.site.deps.storage.faults.get(fault).closure).toBeNull()
  })
})

describe('a session', () => {
  it('never goes on under a token that somebody else may have set', async () => {
    const planted = 'fourfoot=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA'
    const visitor = target.site.visitor()
    const sent = visitor.agent
      .post('/sign-in')
      .type('form')
      .set({ 'Sec-Fetch-Site': 'same-origin', Cookie: planted })
    await sent.send({ name: people.wren.name, pin })
    const withPlanted = await request(target.site.app).get('/faults').set('Cookie', planted)
    expect(withPlanted.status).toBe(303)
  })

  it('has a new token after each sign-in, and the old one is worth nothing', async () => {
    const first = await cookieOf('wren')
    const sent = target.site
      .visitor()
      .agent.post('/sign-in')
      .type('form')
      .set({ 'Sec-Fetch-Site': 'same-origin', Cookie: first })
    const { headers } = await sent.send({ name: people.moss.name, pin })
    expect(String(headers['set-cookie'])).not.toContain(/fourfoot=([^;]+)/.exec(first)?.[1] ?? 'none')
    expect((await request(target.site.app).get('/faults').set('Cookie', first)).status).toBe(303)
  })

  it('ends with signing out, also for whoever kept the cookie', async () => {
    const cookie = await cookieOf('wren')
    await request(target.site.app).post('/sign-out').set({ Cookie: cookie, 'Sec-Fetch-Site': 'same-origin' })
    expect((await request(target.site.app).get('/faults').set('Cookie', cookie)).status).toBe(303)
  })

  it('is in a cookie no script can read, sent to our pages only, over https only behind a proxy', async () => {
    const site = await makeSite({ env: { TRUST_PROXY: '1' } })
    const sent = site.visitor().agent.post('/sign-in').type('form').set('Sec-Fetch-Site', 'same-origin')
    const { headers } = await sent.send({ name: people.wren.name, pin })
    const cookies = headers['set-cookie'] as unknown as string[]
    const session = cookies.find(one => one.startsWith('__Host-fourfoot='))
    for (const word of ['HttpOnly', 'SameSite=Lax', 'Secure', 'Path=/']) expect(session).toContain(word)
    expect(headers['strict-transport-security']).toBeDefined()
  })
})

describe('where a form may lead back to', () => {
  const elsewhere = [
    '//elsewhere.example',
    'http://elsewhere.example',
    '/\\elsewhere.example',
    '\\\\elsewhere.example',
  ]
  const hidden = [
    '/\t/elsewhere.example',
    ' //elsewhere.example',
    'javascript:harm()',
    '///elsewhere.example',
    '/%0d%0aSet-Cookie:x',
  ]

  it.each([...elsewhere, ...hidden])('is never %j', async address => {
    const nobody = target.site.visitor()
    const fields = {
      name: people.wren.name,
      pin,
      return: address,
      'kept-action': address,
      look: 'day',
      instrument: 'none',
    }
    for (const form of ['/sign-in', '/look', '/instruments/chosen']) {
      const { location, html } = await nobody.post(form, fields)
      expect(location).toMatch(/^$|^\/(?![/\\])/)
      expect(new URL(location || '/', 'http://depot.example').host).toBe('depot.example')
      expect(html).not.toMatch(/action="(?!\/(?![/\\]))/)
    }
    const asked = await target.site.visitor().get(`/sign-in?return=${encodeURIComponent(address)}`)
    for (const [, back = ''] of asked.html.matchAll(/name="return" value="([^"]*)"/g))
      expect(new URL(back, 'http://depot.example').host).toBe('depot.example')
  })
})

describe('an address with a trick in it', () => {
  const tricks = [
    '../../package.json',
    '..%2f..%2fpackage.json',
    '%2e%2e/%2e%2e/package.json',
    '..\\..\\package.json',
  ]
  const more = [
    'css/..%5c..%5c..%5cpackage.json',
    '%00',
    'js/main.js%00.css',
    '.git/config',
    'js/../../../server/main.ts',
  ]

  it.each([...tricks, ...more])('gives no file: %s', async trick => {
    for (const before of ['/assets/', '/assets/js/', '/knowledge/', '/faults/', '/']) {
      const { status, text } = await request(target.site.app).get(before + trick)
      expect(status).not.toBe(500)
      expect(text ?? '').not.toMatch(/"dependencies"|repositoryformatversion|from '\.\/start/)
    }
  })

  it('does not believe an address from a proxy that is not there', async () => {
    const cookie = await cookieOf('wren')
    const sent = request(target.site.app).post('/look').type('form')
    const spoofed = {
      Cookie: cookie,
      Origin: 'http://elsewhere.example',
      'X-Forwarded-Host': 'elsewhere.example',
    }
    expect((await sent.set(spoofed).send({ look: 'day' })).status).toBe(403)
  })
})
