import request from 'supertest'
import { beforeEach, describe, expect, it } from 'vitest'
import { slowedDown } from '../../../server/auth/attempts.ts'
import { makeSite, people, pin, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'

const password = 'seven wet sleepers'
const isIn = async (visitor: Visitor) => (await visitor.get('/sites')).status === 200
const signIn = (visitor: Visitor, secret: string) =>
  visitor.post('/sign-in', { name: people.wren.name, pin: secret })

let site: Site
beforeEach(async () => {
  site = await makeSite({ env: { TRUST_PROXY: '1', COOKIE_SECURE: 'no' } })
  site.deps.storage.people.update('wren', { passwordHash: await site.deps.secrets.hash(password) })
})

/** Wrong guesses at one name, each minute 200 from 12 addresses. */
async function guessFromElsewhere(minutes: number): Promise<void> {
  for (let n = 0; n < 200 * minutes; n++) {
    await request(site.app)
      .post('/sign-in')
      .type('form')
      .set({ 'X-Forwarded-For': `203.0.113.${n % 12}` })
      .send({ name: people.wren.name, pin: `wrong guess ${n}` })
    site.pass(1 / 200)
  }
}

describe('strangers who guess at a name', () => {
  it('keep that person waiting neither on the depot’s tablet nor at another address', async () => {
    await guessFromElsewhere(1)
    for (let n = 0; n < 5; n++) {
      const [tablet, browser] = [site.visitor(), site.stranger()]
      await signIn(tablet, pin)
      await signIn(browser, password)
      expect([await isIn(tablet), await isIn(browser)]).toEqual([true, true])
    }
  })

  it('are themselves slowed, and it is in the trail once', async () => {
    await guessFromElsewhere(2)
    const told = site.deps.storage.trail
      .list({ limit: 1000 })
      .filter(({ what, subject }) => what === 'happened' && subject === slowedDown)
    expect(told.map(({ key }) => key)).toEqual([people.wren.name])
    const again = await request(site.app)
      .post('/sign-in')
      .type('form')
      .set({ 'X-Forwarded-For': '203.0.113.3' })
      .send({ name: people.wren.name, pin: password })
    expect(again.text).toContain('Too many wrong tries. Wait')
  })

  it('keep nobody waiting who confirms with a password while signed in', async () => {
    const browser = site.stranger()
    await signIn(browser, password)
    await guessFromElsewhere(1)
    const done = await browser.post('/me/sessions', { secret: password, session: 'others' })
    expect(done.status).toBe(200)
  })
})

it('a tablet signs in while all else behind its address asks for more pages than a hand can', async () => {
  const slow = await makeSite({ env: { RATE_PER_MINUTE: '60' } })
  const flood = slow.stranger()
  let refused = 0
  for (let n = 0; n < 70; n++) refused += Number((await flood.get('/sign-in')).status === 429)
  expect(refused).toBeGreaterThan(0)
  const tablet = slow.visitor()
  expect((await signIn(tablet, pin)).status).toBe(303)
  expect(await isIn(tablet)).toBe(true)
})

it('a sign-in that can’t be looked at in time is told so, keeps the form, and counts for nothing', async () => {
  const { secrets, attempts } = site.deps
  const { verify } = secrets
  const { AppError } = await import('../../../server/errors.ts')
  secrets.verify = () => Promise.reject(new AppError('too many', 'Too many people sign in at once.'))
  const browser = site.stranger()
  for (let n = 0; n < 5; n++) {
    const page = await signIn(browser, password)
    expect([page.status, page.text.includes('Too many people sign in at once')]).toEqual([400, true])
  }
  secrets.verify = verify
  expect(attempts.countAt({ kind: 'address', id: '127.0.0.1' })).toBe(0)
  await signIn(browser, password)
  expect(await isIn(browser)).toBe(true)
})
