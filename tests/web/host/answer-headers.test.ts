import { randomUUID } from 'node:crypto'
import request from 'supertest'
import { beforeAll, describe, expect, it } from 'vitest'
import { makeSite, people, pin, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'

// What every answer says to the browser. Names and values: OWASP ASVS 5.0, V3.4 and V4.1 (read in source);
// a year of Strict-Transport-Security in seconds: computed.

let site: Site
let behindTls: Site
let isla: Visitor
let wren: Visitor
beforeAll(async () => {
  site = await makeSite()
  behindTls = await makeSite({ env: { TRUST_PROXY: '1' } })
  isla = await site.as('isla')
  wren = await site.as('wren')
})

const answers: [string, () => request.Test | Promise<request.Response>][] = [
  ['a page', () => wren.agent.get('/faults')],
  ['a page before signing in', () => request(behindTls.app).get('/sign-in')],
  ['being sent on', () => request(behindTls.app).get('/')],
  ['a page that is not there', () => request(behindTls.app).get('/nothing/here')],
  ['an address that is damaged', () => request(behindTls.app).get('/%zz')],
  ['a form from elsewhere', () => request(behindTls.app).post('/sign-in').set('Origin', 'http://e.example')],
  ['a form too large', () => request(behindTls.app).post('/sign-in').type('form').send('x'.repeat(120_000))],
  ['a page for another role', () => wren.agent.get('/people')],
  ['a question for the methods', () => request(behindTls.app).options('/faults')],
  ['the health of the program', () => request(behindTls.app).get('/healthz')],
  ['a table as CSV', () => isla.agent.get('/export/sites.csv')],
  ['a table as JSON', () => isla.agent.get('/export/sites.json')],
  ['a style sheet', () => request(behindTls.app).get('/assets/app.css')],
  ['a script', () => request(behindTls.app).get('/assets/app.js')],
  ['a part of the script', () => request(behindTls.app).get('/assets/js/main.js')],
  ['the folder of scripts', () => request(behindTls.app).get('/assets/js')],
  ['the icon', () => request(behindTls.app).get('/assets/icon.svg')],
  ['a sheet that is not there', () => request(behindTls.app).get('/assets/nothing.css')],
]

describe.each(answers)('%s', (_, ask) => {
  it('lets a browser run, embed and guess at nothing that is not ours', async () => {
    const { headers } = await ask()
    const policy = String(headers['content-security-policy']).split(';')
    for (const rule of [
      "default-src 'none'",
      "object-src 'none'",
      "base-uri 'none'",
      "frame-ancestors 'none'",
    ])
      expect(policy).toContain(rule)
    expect(headers).toMatchObject({ 'x-content-type-options': 'nosniff', 'referrer-policy': 'same-origin' })
    expect(headers['permissions-policy']).toMatch(/camera=\(\).*geolocation=\(\).*microphone=\(\)/)
    expect(headers['access-control-allow-origin']).toBeUndefined()
  })
})

describe.each(answers.filter(([name]) => name !== 'a question for the methods'))('%s', (_, ask) => {
  // JSON is UTF-8 by its own rule (RFC 8259, section 8.1: read in source).
  it('says in which letters its text is written', async () => {
    const { headers } = await ask()
    expect(headers['content-type']).toMatch(
      /^(text\/[a-z]+|image\/svg\+xml|application\/manifest\+json); charset=utf-8|^application\/json/,
    )
  })
})

it.each(['/', '/sign-in', '/nothing', '/healthz', '/assets/app.css', '/assets/js', '/assets/icon-192.png'])(
  'behind TLS %s is to be asked for by https only, for a year, on every host below',
  async address => {
    const { headers } = await request(behindTls.app).get(address)
    const [, seconds] =
      /^max-age=(\d+); includeSubDomains$/.exec(headers['strict-transport-security'] ?? '') ?? []
    expect(Number(seconds)).toBeGreaterThanOrEqual(365 * 24 * 3600)
  },
)

it('gives no folder of its own away as an address', async () => {
  const { status, headers } = await request(site.app).get('/assets/js')
  expect([status, headers.location]).toEqual([404, undefined])
})

it('every cookie is named as ours alone, for https, for our own pages and for no script, whatever it holds', async () => {
  const given: string[] = []
  const cookiesOf = (answer: request.Response) => (answer.headers['set-cookie'] ?? []) as unknown as string[]
  /** The agent speaks http, as the proxy does to the program, so what is for https only is sent by hand. */
  const send = async (address: string, fields: object) => {
    const Cookie = given.map(one => one.split(';')[0]).join('; ')
    const sent = behindTls.visitor().agent.post(address).type('form')
    given.push(...cookiesOf(await sent.set({ 'Sec-Fetch-Site': 'same-origin', Cookie }).send(fields)))
  }
  await send('/look', { look: 'night' })
  await send('/sign-in', { name: people.wren.name, pin })
  const fault = { position: 'up', tree: 'dead', noticed: 'Blue lamp flashing', reportedBy: 'panel 2' }
  await send('/faults', { ...fault, id: randomUUID(), protection: 'kept' })
  const Cookie = given.flatMap(one => /^[^=]+=[^;]+/.exec(one) ?? []).join('; ')
  const { text, headers } = await request(behindTls.app).get('/faults').set('Cookie', Cookie)
  expect(text).toContain('data-look="night"')
  expect(String(headers['set-cookie'])).toMatch(/^__Host-kept=;/)
  const names = given.map(one => one.split('=')[0])
  expect(names).toEqual(
    expect.arrayContaining(['look', 'fourfoot', 'sent', 'kept'].map(name => `__Host-${name}`)),
  )
  for (const one of given) {
    expect(one).toMatch(/^__Host-/)
    for (const word of ['Path=/', 'HttpOnly', 'Secure', 'SameSite=Lax']) expect(one).toContain(word)
    expect(one).not.toContain('Domain=')
  }
})
