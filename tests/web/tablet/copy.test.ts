import { describe, expect, it } from 'vitest'
import { hashToken } from '../../../server/auth/tokens.ts'
import { makeSite, token } from '../../support/site.ts'
import { attend, report } from '../../support/walking.ts'

describe('the copy that a tablet carries', () => {
  it('holds no hash of a PIN, a password or a token, and no session, setup code or trail', async () => {
    const site = await makeSite()
    const { storage, secrets } = site.deps
    storage.people.update('isla', { passwordHash: await secrets.hash('a long and odd password') })
    storage.setupCodes.create(hashToken('setup'))
    const wren = await site.as('wren')
    await attend(wren, await report(wren))
    await wren.post('/tablet/shift', {})
    const copy = await wren.agent.get('/tablet/copy')
    expect(copy.status).toBe(200)
    expect(copy.text).toContain('Blue lamp flashing')
    const hidden = [
      ...site.db.prepare('SELECT pin_hash FROM people').pluck().all(),
      ...site.db.prepare('SELECT password_hash FROM people WHERE password_hash IS NOT NULL').pluck().all(),
      ...['tablets', 'sessions', 'shifts'].flatMap(table =>
        site.db.prepare(`SELECT token_hash FROM ${table}`).pluck().all(),
      ),
      ...site.db.prepare('SELECT code_hash FROM setup_codes').pluck().all(),
      token,
    ].map(String)
    expect(hidden.length).toBeGreaterThan(10)
    expect(hidden.filter(secret => copy.text.includes(secret))).toEqual([])
    for (const table of ['trail', 'sessions', 'setup_codes', 'sent_forms', 'drafts'])
      expect(copy.text).not.toContain(`"name":"${table}"`)
  })

  it('is for technicians on an enrolled tablet alone', async () => {
    const site = await makeSite()
    expect((await (await site.as('isla')).agent.get('/tablet/copy')).status).toBe(403)
    const stranger = site.stranger()
    expect((await stranger.agent.get('/tablet/copy')).status).toBe(303)
    const { secrets, storage } = site.deps
    storage.people.update('wren', { passwordHash: await secrets.hash('a long and odd password') })
    await stranger.post('/sign-in', { name: 'Wren Aldous', pin: 'a long and odd password' })
    const refused = await stranger.get('/tablet/copy')
    expect(refused.status).toBe(403)
    expect((await stranger.get('/tablet')).text).toContain('Nothing will work here without signal')
  })

  it('is not sent again to a tablet that has it', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const { stamp } = (await wren.agent.get('/tablet/copy')).body
    const same = await wren.agent.get(`/tablet/copy?stamp=${encodeURIComponent(stamp)}`)
    expect(same.body).toEqual({ same: true, person: 'wren' })
    await report(wren)
    expect((await wren.agent.get(`/tablet/copy?stamp=${encodeURIComponent(stamp)}`)).body.tables).toBeTruthy()
  })
})
