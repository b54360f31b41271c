// What the log tells of those who try doors, and what it never holds. The form of a line is that of pino: JSON, a line each.

import { randomUUID } from 'node:crypto'
import { once } from 'node:events'
import { type AddressInfo, connect } from 'node:net'
import pino from 'pino'
import request from 'supertest'
import { beforeEach, describe, expect, it } from 'vitest'
import { createApp } from '../../server/app.ts'
import type { Config } from '../../server/config.ts'
import { createHttpServer, limits } from '../../server/web/host/middleware/http-server.ts'
import { makeSite, people, pin, type Site, token } from '../support/site.ts'
import { Visitor } from '../support/visitor.ts'
import { attend, find, report } from '../support/walking.ts'

let site: Site
let app: ReturnType<typeof createApp>
let raw: string
beforeEach(async () => {
  raw = ''
  site = await makeSite()
  app = withLog()
})

/** The site's application, its log where the tests can read it. */
function withLog(changes: Partial<Config> = {}) {
  const write = (text: string) => {
    raw += text
  }
  const config = { ...site.deps.config, ...changes }
  return createApp({ ...site.deps, config, log: pino({ level: 'trace' }, { write }) })
}

function visitor(): Visitor {
  const someone = new Visitor(request.agent(app))
  someone.agent.jar.setCookie(`tablet=${encodeURIComponent(token)}; Path=/`, '127.0.0.1', '/')
  return someone
}

async function signedIn(name: keyof typeof people): Promise<Visitor> {
  const someone = visitor()
  await someone.post('/sign-in', { name: people[name].name, pin })
  return someone
}

/** Each line read as the data it is; throws when one is no line of its own. */
const lines = (): Record<string, unknown>[] =>
  raw
    .split('\n')
    .filter(Boolean)
    .map(line => JSON.parse(line))
const WARNING = 40
const warnings = () => lines().filter(({ level }) => level === WARNING)

describe('the log', () => {
  it('says of each request when, what, how it ended and who asked', async () => {
    const wren = await signedIn('wren')
    await wren.get('/positions?search=Wendle')
    const line = lines().at(-1)
    expect(line).toMatchObject({ method: 'GET', path: '/positions', status: 200, person: 'wren' })
    expect(line?.requestId).toMatch(/^[0-9a-f-]{36}$/)
    // Milliseconds since 1970: a time without a zone to be mistaken in.
    expect(Math.abs(Number(line?.time) - Date.now())).toBeLessThan(60_000)
    expect(warnings()).toEqual([])
  })

  it('names a page by its whole address, also where a part of the program answers for a folder', async () => {
    await visitor().get('/assets/icon.svg')
    expect(lines().at(-1)).toMatchObject({ path: '/assets/icon.svg', status: 200 })
  })

  it('warns of a wrong sign-in, with the address it came from', async () => {
    await visitor().post('/sign-in', { name: people.wren.name, pin: '0001' })
    expect(warnings()).toMatchObject([
      { msg: 'a sign-in failed', address: expect.stringContaining('127.0.0.1') },
    ])
  })

  it('says who signed in, and whether by PIN or password', async () => {
    await signedIn('wren')
    expect(lines()).toContainEqual(expect.objectContaining({ msg: 'a sign-in', person: 'wren', by: 'PIN' }))
  })

  it('warns of a refused right, with who tried it, where and from which tablet', async () => {
    const wren = await signedIn('wren')
    expect((await wren.get('/people')).status).toBe(403)
    const refused = {
      msg: 'a request was refused',
      path: '/people',
      status: 403,
      person: 'wren',
      tablet: 'van',
    }
    expect(warnings()).toMatchObject([{ ...refused, address: expect.stringContaining('127.0.0.1') }])
  })

  it('warns of a form from another site, of one without a sign-in, and of too many requests', async () => {
    const nobody = visitor()
    await nobody.agent.post('/sign-in').type('form').set('Sec-Fetch-Site', 'cross-site').send({ name: 'x' })
    await nobody.post('/faults', {})
    const limited = withLog({ ratePerMinute: 1 })
    for (let n = 0; n < 3; n++) await request(limited).get('/sign-in')
    const seen = warnings().map(({ status }) => status)
    expect(seen.slice(0, 2)).toEqual([403, 401])
    expect(seen.slice(2).every(status => status === 429) && seen.length > 2).toBe(true)
  })

  it('warns of a request that was cut off', async () => {
    const server = createHttpServer(app, {
      ...limits,
      ...{ requestTimeout: 300, headersTimeout: 200, connectionsCheckingInterval: 50 },
    })
    await once(server.listen(0, '127.0.0.1'), 'listening')
    const socket = connect((server.address() as AddressInfo).port, '127.0.0.1')
    socket.on('error', () => {})
    socket.write('POST /sign-in HTTP/1.1\r\nHost: x\r\nSec-Fetch-Site: none\r\n')
    socket.write('Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 1000\r\n\r\nname=')
    await new Promise(done => socket.resume().once('close', done))
    await expect.poll(warnings).toMatchObject([{ msg: 'a request was cut off', path: '/sign-in' }])
    server.close()
  })

  it('holds each failure of ours once, with its stack and the number the visitor is shown', async () => {
    const wren = await signedIn('wren')
    site.db.close()
    const page = await wren.get('/faults')
    const errors = lines().filter(({ level }) => Number(level) > WARNING)
    expect([page.status, errors.length]).toEqual([500, 1])
    expect(page.text).toContain(String(errors[0]?.requestId))
    expect(JSON.stringify(errors[0]?.err)).toContain('"stack"')
    expect(page.text).not.toMatch(/\.ts:\d|database connection/)
  })

  it('can’t be given a line of somebody’s own making', async () => {
    const forged = 'x\n{"level":30,"msg":"forged"}\r\n'
    const nobody = visitor()
    await nobody.post('/sign-in', { name: forged, pin: forged })
    await nobody.get(`/faults/${encodeURIComponent(forged)}`)
    await nobody.agent.get('/faults').set('User-Agent', 'x {"msg":"forged"}')
    expect(lines().map(({ msg }) => msg)).not.toContain('forged')
  })

  it('never holds a PIN, a password, a token or a typed word', async () => {
    const [noticed, spokenTo, searched] = ['Quillfeather', 'Brindlewick', 'Marrowgate']
    // Long enough to be in no id and no time by chance.
    const [secret, own, wrong] = ['thistledown lantern 88', '739164825093', '480519263715']
    const wren = await signedIn('wren')
    await visitor().post('/sign-in', { name: noticed, pin: wrong })
    await visitor().post('/sign-in', { name: people.wren.name, pin: wrong })
    expect((await wren.post('/me', { now: pin, pin: own, password: secret })).text).toContain('Changed.')
    await visitor().post('/sign-in', { name: people.wren.name, pin: own })
    const fault = await report(wren, { noticed, reportedBy: spokenTo })
    await attend(wren, fault, { spokenTo })
    await find(wren, fault, 'supply', '110', { note: noticed })
    await wren.get(`/positions?search=${searched}`)
    await wren.get(`/sign-in?return=/faults?search=${searched}`)
    await wren.agent
      .post('/faults')
      .set('Sec-Fetch-Site', 'same-origin')
      .type('json')
      .send(`{"a": ${noticed}`)
    const cookies = wren.agent.jar.getCookies({
      domain: '127.0.0.1',
      path: '/',
      secure: false,
      script: false,
    })
    const session = [...cookies].find(({ name }) => name === 'fourfoot')?.value ?? ''
    expect(session.length).toBeGreaterThan(20)
    site.db.close()
    await wren.post(`/faults/${fault}/findings`, { id: randomUUID(), note: noticed })
    expect(lines().length).toBeGreaterThan(10)
    for (const word of [noticed, spokenTo, searched, secret, own, wrong, token, session])
      expect(raw).not.toContain(word)
  })
})
