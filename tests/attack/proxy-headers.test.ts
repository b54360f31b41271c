import request from 'supertest'
import { expect, it } from 'vitest'
import { makeSite } from '../support/site.ts'

// What only a proxy may say of a request, no visitor can say in its place. A proxy adds the address it sees at the end of
// X-Forwarded-For: common practice, no published standard.

it.each([
  ['no proxy is trusted', '0', (n: number) => `10.0.0.${n}`],
  ['one is, and the visitor wrote addresses before it', '1', (n: number) => `10.0.0.${n}, 192.0.2.7`],
])('nobody chooses the address they are slowed down by where %s', async (_, proxies, said) => {
  const { app } = await makeSite({ env: { RATE_PER_MINUTE: '20', TRUST_PROXY: proxies } })
  const statuses: number[] = []
  for (let n = 0; n < 40; n++)
    statuses.push((await request(app).get('/sign-in').set('X-Forwarded-For', said(n))).status)
  expect([statuses[0], statuses.at(-1)]).toEqual([200, 429])
})

it('a trusted proxy tells visitors apart', async () => {
  const { app } = await makeSite({ env: { RATE_PER_MINUTE: '20', TRUST_PROXY: '1' } })
  for (let n = 0; n < 40; n++)
    expect((await request(app).get('/sign-in').set('X-Forwarded-For', `192.0.2.${n}`)).status).toBe(200)
})
