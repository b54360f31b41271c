import { once } from 'node:events'
import { type AddressInfo, connect } from 'node:net'
import { expect, it } from 'vitest'
import {
  closeHttpServer,
  closingMs,
  createHttpServer,
} from '../../../server/web/host/middleware/http-server.ts'
import { textOf } from '../../repo/files.ts'
import { makeSite } from '../../support/site.ts'

it('makes requests and answers with the prototypes that Express wants, so that it changes none', async () => {
  const { app } = await makeSite()
  const server = createHttpServer(app)
  const before: object[] = []
  const after: object[] = []
  server.prependListener('request', (req, res) => {
    before.push(Object.getPrototypeOf(req), Object.getPrototypeOf(res))
    res.on('finish', () => after.push(Object.getPrototypeOf(req), Object.getPrototypeOf(res)))
  })
  await once(server.listen(0, '127.0.0.1'), 'listening')
  try {
    const { port } = server.address() as AddressInfo
    const answer = await fetch(`http://127.0.0.1:${port}/sign-in`)
    expect(answer.status).toBe(200)
    expect(await answer.text()).toContain('Sign in')
  } finally {
    server.close()
    server.closeAllConnections()
  }
  expect(after).toHaveLength(2)
  expect(after[0] === before[0] && after[1] === before[1]).toBe(true)
})

it('closes in time though a request still drips in, and answers one that is whole before', async () => {
  const { app } = await makeSite()
  const server = createHttpServer(app)
  await once(server.listen(0, '127.0.0.1'), 'listening')
  const dripping = connect((server.address() as AddressInfo).port, '127.0.0.1')
  dripping.on('error', () => {})
  const cut = once(dripping, 'close')
  dripping.write('POST /sign-in HTTP/1.1\r\nHost: x\r\nSec-Fetch-Site: none\r\nContent-Length: 100000\r\n')
  dripping.write('Content-Type: application/x-www-form-urlencoded\r\n\r\n')
  const drip = setInterval(() => dripping.write('a'), 20)
  const whole = connect((server.address() as AddressInfo).port, '127.0.0.1')
  let answer = ''
  whole.on('data', data => {
    answer += data
  })
  whole.write('GET /sign-in HTTP/1.1\r\nHost: x\r\n\r\n')
  await once(whole, 'data')
  const began = performance.now()
  const closed = closeHttpServer(server, 400)
  // A connection that is kept alive without a request is closed at once.
  await once(whole, 'close')
  await closed
  await cut
  clearInterval(drip)
  expect(performance.now() - began).toBeGreaterThan(390)
  expect(answer).toContain('200 OK')
})

it('closes before the service’s unit kills', () => {
  const seconds = Number(/^TimeoutStopSec=(\d+)$/m.exec(textOf('server/ops/fourfoot.service'))?.[1])
  expect(closingMs / 1000).toBeLessThanOrEqual(seconds - 10)
})
