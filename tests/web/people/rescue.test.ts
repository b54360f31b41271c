import { beforeEach, describe, expect, it } from 'vitest'
import { hashToken } from '../../../server/auth/tokens.ts'
import { makeSite, people, pin, type Site } from '../../support/site.ts'

const code = 'abcd-efgh-jkmn-pqrs'
const account = { code, name: 'Hale Wick', password: 'nine grey signals', pin: '7391' }
let site: Site
beforeEach(async () => {
  site = await makeSite()
})
const makeCode = () => site.deps.storage.setupCodes.createRescue(hashToken(code.replaceAll('-', '')))
const everybody = () => site.deps.storage.people.list().map(({ name, role }) => [name, role])

describe('a setup code made on the machine', () => {
  it('makes an engineer’s account although there are people, once', async () => {
    const browser = site.stranger()
    expect((await browser.get('/setup')).status).toBe(404)
    expect((await browser.post('/setup', account)).status).toBe(409)
    makeCode()
    expect((await browser.get('/setup')).text).toContain('sets PIN and password anew')
    expect((await browser.post('/setup', { ...account, code: 'wrong' })).text).toContain('not the setup code')
    expect((await browser.post('/setup', account)).location).toBe('/first-steps')
    expect(everybody()).toContainEqual(['Hale Wick', 'engineer'])
    expect((await browser.get('/people')).status).toBe(200)
    expect((await site.stranger().post('/setup', { ...account, name: 'Another' })).status).toBe(409)
  })

  it('sets an engineer’s PIN and password anew, gives access again and ends every session', async () => {
    const before = await site.as('isla')
    site.deps.storage.people.update('odo', { role: 'engineer' })
    site.deps.storage.people.update('isla', { active: false })
    makeCode()
    const browser = site.stranger()
    expect((await browser.post('/setup', { ...account, name: ' isla verrin' })).location).toBe('/first-steps')
    expect((await before.get('/people')).status).toBe(303)
    const tablet = site.visitor()
    await tablet.post('/sign-in', { name: people.isla.name, pin })
    expect((await tablet.get('/people')).status).toBe(303)
    await tablet.post('/sign-in', { name: people.isla.name, pin: '7391' })
    expect((await tablet.get('/people')).status).toBe(200)
  })

  it('does nothing under the name of somebody who is no engineer, and stays good', async () => {
    makeCode()
    const before = JSON.stringify(site.deps.storage.people.list())
    const refused = await site.stranger().post('/setup', { ...account, name: people.wren.name })
    expect([refused.status, refused.text.includes('no engineer has that name')]).toEqual([400, true])
    expect(JSON.stringify(site.deps.storage.people.list())).toBe(before)
    expect(site.deps.storage.setupCodes.isRescueOpen()).toBe(true)
  })

  it('is told on every engineer’s page for a day, and stands in the trail', async () => {
    makeCode()
    const isla = await site.as('isla')
    expect((await isla.get('/open')).text).toContain('A setup code was made on the machine itself')
    expect((await isla.get('/trail')).text).toContain('happened: setup code made on the machine')
    expect((await (await site.as('wren')).get('/faults')).text).not.toContain('on the machine itself')
    site.pass(25 * 60)
    expect((await (await site.as('isla')).get('/open')).text).not.toContain('on the machine itself')
  })

  it('lets one in of two who use it at the same moment', async () => {
    makeCode()
    const answers = await Promise.all(
      ['Hale Wick', 'Fern Lode'].map(name => site.stranger().post('/setup', { ...account, name })),
    )
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 400])
    expect(everybody()).toHaveLength(Object.keys(people).length + 1)
  })

  it('that was printed at a first start is none', async () => {
    site.deps.storage.setupCodes.create(hashToken(code.replaceAll('-', '')))
    expect((await site.stranger().post('/setup', account)).status).toBe(409)
    makeAnother()
    expect((await site.stranger().post('/setup', account)).text).toContain('not the setup code')
    expect(everybody()).toHaveLength(Object.keys(people).length)
  })
})

const makeAnother = () => site.deps.storage.setupCodes.createRescue('another')

it('a wrong code is guessed at without working out a hash for it', async () => {
  const fresh = await makeSite({ empty: true })
  fresh.deps.secrets.hash = () => Promise.reject(new Error('a hash was worked out'))
  const browser = fresh.stranger()
  for (let n = 0; n < 3; n++)
    expect((await browser.post('/setup', { ...account, code: `wrong ${n}` })).status).toBe(400)
  expect((await browser.post('/setup', { ...account, code: 'wrong' })).text).toContain('Too many wrong codes')
})
