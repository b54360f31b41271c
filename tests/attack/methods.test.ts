// Requests in ways that no page of ours asks.

import request from 'supertest'
import { beforeAll, describe, expect, it } from 'vitest'
import { siteMap } from '../../server/web/routes.ts'
import type { Visitor } from '../support/visitor.ts'
import { makeTarget, type Target } from './addresses.ts'

let target: Target
let wren: Visitor
let isla: Visitor
beforeAll(async () => {
  target = await makeTarget()
  wren = await target.site.as('wren')
  isla = await target.site.as('isla')
})

// RFC 9110 section 9.3.8: TRACE sends a request back as it came, with its cookies (value from memory).
describe.each(['TRACE', 'PUT', 'DELETE', 'PATCH'])('a request by %s', method => {
  it('is refused, sends back nothing of what it held, and changes nothing', async () => {
    const before = JSON.stringify(target.site.deps.storage.faults.get(target.fault))
    for (const address of ['/', '/healthz', '/assets/icon.svg', '/sign-in', `/faults/${target.fault}`]) {
      const sent = request(target.site.app)[method.toLowerCase() as 'trace' | 'put'](address)
      const { status, text } = await sent.set({ Cookie: 'fourfoot=hush', 'X-Marked': 'marked words' })
      expect([address, status]).toEqual([address, expect.toBeOneOf([403, 404, 405])])
      expect(text ?? '').not.toMatch(/hush|marked words/)
    }
    expect(JSON.stringify(target.site.deps.storage.faults.get(target.fault))).toBe(before)
  })
})

describe('a page', () => {
  const names = siteMap.filter(({ method }) => method === 'get').map(route => [route.path, route] as const)

  it.each(names)('asked for at %s with each word twice is answered, and breaks nothing', async (_, route) => {
    const words = [
      'search',
      'return',
      'position',
      'tree',
      'kind',
      'action',
      'row',
      'before',
      'page',
      'to',
      'id',
    ]
    const twice = words.map(name => `${name}=a&${name}=b`).join('&')
    for (const visitor of [wren, isla]) {
      const { status, location } = await visitor.get(`${target.addressOf(route)}?${twice}&__proto__=a`)
      expect(status).toBeLessThan(500)
      expect(location).toMatch(/^$|^\/(?![/\\])/)
    }
  })

  it.each(['/assets', '/assets/', '/assets/js', '/assets/js/', '/assets/css/', '/knowledge/../'])(
    'lists no folder: %s',
    async address => {
      const { status, text } = await request(target.site.app).get(address)
      expect([200, 500]).not.toContain(status)
      expect(text ?? '').not.toMatch(/keypad|outbox|icon-512/)
    },
  )
})

it('/healthz tells how things stand and nothing of anybody', async () => {
  const { body } = await request(target.site.app).get('/healthz')
  expect(Object.keys(body).sort()).toEqual(['database', 'edition', 'ok', 'schema', 'toDo'])
  expect(JSON.stringify(body)).not.toMatch(/Wendle|Aldous|\/|node/)
})
