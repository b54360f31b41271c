import { randomUUID } from 'node:crypto'
import { once } from 'node:events'
import { type AddressInfo, connect, type Socket } from 'node:net'
import { describe, expect, it } from 'vitest'
import { createHttpServer, limits } from '../../server/web/host/middleware/http-server.ts'
import { makeSite, people, pin } from '../support/site.ts'
import { attend, find, report } from '../support/walking.ts'
import { makeTarget } from './addresses.ts'

describe('a request that is too large', () => {
  it('gets a whole page of words, also before anybody signed in', async () => {
    const site = await makeSite()
    const large = await site.visitor().post('/sign-in', { name: 'x'.repeat(120_000), pin })
    expect([large.status, large.text.includes('100 kB')]).toEqual([413, true])
    expect(large.html).toContain('rel="stylesheet"')
    const many = Object.fromEntries(Array.from({ length: 600 }, (_, n) => [`field${n}`, 'x']))
    const refused = await site.visitor().post('/sign-in', many)
    expect([refused.status, refused.text.includes('too many fields')]).toEqual([413, true])
  })

  it('gets the same page for a body that can’t be read, with who is signed in', async () => {
    const wren = await (await makeSite()).as('wren')
    const send = (headers: Record<string, string>, body: string) =>
      wren.agent
        .post('/faults')
        .set({ 'Sec-Fetch-Site': 'same-origin', ...headers })
        .send(body)
    for (const answer of [
      await send({ 'Content-Type': 'application/x-www-form-urlencoded; charset=utf-16' }, 'a=b'),
      await send(
        { 'Content-Type': 'application/x-www-form-urlencoded', 'Content-Encoding': 'gzip' },
        'not gzip',
      ),
      await send({ 'Content-Type': 'application/x-www-form-urlencoded', 'Content-Encoding': 'x' }, 'a=b'),
    ]) {
      expect(answer.status).toBe(400)
      expect(answer.text).toContain('The form arrived damaged')
      expect(answer.text).toContain('Wren Aldous')
      expect(answer.text).not.toMatch(/node_modules|\.ts:\d/)
    }
  })
})

describe('a request that never ends', () => {
  /** The real application behind the real limits, only sooner. */
  async function slow<T>(use: (socket: Socket) => Promise<T>): Promise<T> {
    const { app } = await makeSite()
    const server = createHttpServer(app, {
      ...limits,
      ...{ requestTimeout: 400, headersTimeout: 300, connectionsCheckingInterval: 50 },
    })
    await once(server.listen(0, '127.0.0.1'), 'listening')
    const socket = connect((server.address() as AddressInfo).port, '127.0.0.1')
    try {
      return await use(socket)
    } finally {
      socket.destroy()
      server.close()
    }
  }
  const answered = async (socket: Socket) => {
    let text = ''
    socket.on('data', data => {
      text += data
    })
    // A server that cuts off what it has not read resets the line, after its answer.
    socket.on('error', () => {})
    await new Promise(done => socket.once('close', done))
    return text
  }

  it('is cut off while its head is still coming', async () => {
    const text = await slow(async socket => {
      socket.write('GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ')
      return answered(socket)
    })
    expect(text).toContain('408')
  })

  it('is cut off while its body is still coming, and nothing is written', async () => {
    const text = await slow(async socket => {
      socket.write('POST /sign-in HTTP/1.1\r\nHost: x\r\nSec-Fetch-Site: none\r\n')
      socket.write('Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 1000\r\n\r\nname=')
      return answered(socket)
    })
    expect(text).toMatch(/408|400/)
  })

  it('is cut off when its head is larger than any of ours', async () => {
    const text = await slow(async socket => {
      socket.write(`GET / HTTP/1.1\r\nHost: x\r\nX-Large: ${'x'.repeat(40_000)}\r\n\r\n`)
      return answered(socket)
    })
    expect(text).toContain('431')
  })

  it('is given half a minute in earnest', () => {
    expect(limits.requestTimeout).toBe(30_000)
    expect(limits.headersTimeout).toBeLessThan(limits.requestTimeout)
  })
})

describe('a flood', () => {
  it('is slowed for whoever sends it, with words and a time, and for nobody else', async () => {
    const site = await makeSite({ env: { RATE_PER_MINUTE: '30' } })
    const wren = await site.as('wren')
    const moss = await site.as('moss')
    const statuses: number[] = []
    for (let n = 0; n < 40; n++) statuses.push((await wren.get('/faults')).status)
    expect(statuses.slice(0, 25)).toEqual(Array(25).fill(200))
    const refused = await wren.agent.get('/faults')
    expect([refused.status, Number(refused.headers['retry-after']) > 0]).toEqual([429, true])
    expect(refused.text).toContain('nothing is lost')
    expect((await moss.get('/faults')).status).toBe(200)
    site.pass(1)
    expect((await wren.get('/faults')).status).toBe(200)
  })

  it('counts an address for those not signed in, whatever cookie they make up', async () => {
    const site = await makeSite({ env: { RATE_PER_MINUTE: '20' } })
    const nobody = site.visitor()
    const statuses: number[] = []
    for (let n = 0; n < 40; n++)
      statuses.push((await nobody.agent.get('/sign-in').set('Cookie', `fourfoot=${randomUUID()}`)).status)
    expect(statuses.at(-1)).toBe(429)
  })

  it('lets a technician work as fast as hands can', async () => {
    const { site } = await makeTarget({ RATE_PER_MINUTE: '1200' })
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    expect((await find(wren, fault, 'supply', '110')).status).toBe(303)
    expect(people.wren.id).toBe('wren')
  })
})
