import { once } from 'node:events'
import type { AddressInfo } from 'node:net'
import { expect, it } from 'vitest'
import { createHttpServer } from '../../../server/web/host/middleware/http-server.ts'
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
