import { randomUUID } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { makeSite, people, pin } from '../../support/site.ts'
import { attend, close, find, report } from '../../support/walking.ts'

describe('when something is off', () => {
  it('gives unknown addresses, faults, checks and sites a clear page', async () => {
    const wren = await (await makeSite()).as('wren')
    const fault = await report(wren)
    for (const address of [
      '/nowhere',
      '/faults/none',
      '/sites/none',
      '/positions/none',
      `/faults/${fault}/checks/dead/none`,
      `/faults/${fault}/checks/__proto__/constructor`,
      '/knowledge/none',
      '/%E0%A4%A',
    ]) {
      const page = await wren.get(address)
      expect([address, page.status]).toEqual([address, 404])
      expect(page.text).toContain('There is nothing at this address')
    }
  })

  it('keeps what was typed and names the field in error', async () => {
    const wren = await (await makeSite()).as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const again = await find(wren, fault, 'supply', '96 ohm')
    expect(again.status).toBe(400)
    expect(again.html).toContain('value="96 ohm"')
    expect(again.html).toContain('href="#text"')
    expect(again.html).toContain('<title>Error: ')
  })

  it('asks about 1,234 and takes the answer', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const asked = await find(wren, fault, 'supply', '1,234')
    expect(asked.status).toBe(400)
    const choice = /name="meant"\s+value="([^"]+)"/.exec(asked.html)?.[1] ?? ''
    expect(choice).not.toBe('')
    await find(wren, fault, 'supply', '1,234', { meant: choice, confirmed: '1,234' })
    const [finding] = site.deps.storage.faults.get(fault).findings
    expect(finding).toMatchObject({ kind: 'reading', text: '1,234' })
  })

  it('has an implausible reading confirmed, and notes that it was', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const asked = await find(wren, fault, 'supply', '1105')
    expect(asked.status).toBe(400)
    const html = asked.html.replaceAll('\u00a0', ' ')
    expect(html).toContain('Does the meter show 1105 V AC?')
    expect(html).toContain('Yes, 1105 V AC')
    expect(html).not.toContain('Record it')
    const changed = await find(wren, fault, 'supply', '1105', { how: 'change', confirmed: '1105' })
    expect(changed.status).toBe(200)
    expect(changed.html).toMatch(/value="1105"\s+type="text"/)
    expect(changed.html).toContain('Record it')
    expect(changed.html).not.toContain('Does the meter show')
    expect(site.deps.storage.faults.get(fault).findings).toEqual([])
    // Another number than the one that was asked about is asked about in its turn.
    expect((await find(wren, fault, 'supply', '1106', { confirmed: '1105' })).status).toBe(400)
    await find(wren, fault, 'supply', '1105', { confirmed: '1105' })
    expect(site.deps.storage.faults.get(fault).findings[0]?.note).toBe('Confirmed when asked.')
  })

  it('writes a form that is sent twice once', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const id = randomUUID()
    const first = await find(wren, fault, 'supply', '110', { id })
    const second = await find(wren, fault, 'supply', '110', { id })
    expect(second.location).toBe(first.location)
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(1)
  })

  it('tells a tablet that sends by script which write was kept', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const id = randomUUID()
    const sent = wren.agent
      .post(`/faults/${fault}/findings`)
      .type('form')
      .set('Sec-Fetch-Site', 'same-origin')
    const reply = await sent
      .set('Accept', 'application/json')
      .send({ id, tree: 'dead', check: 'supply', how: 'reading', text: '110' })
    expect(reply.body).toEqual({ kept: id, next: `/faults/${fault}/checks/dead/loop-resistance` })
  })

  it('keeps a form that arrives after the session ended, and offers it again after signing in', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    site.pass(31)
    const id = randomUUID()
    const kept = await find(wren, fault, 'supply', '96.4', { id })
    expect(kept.status).toBe(401)
    expect(kept.text).toContain('Nothing you entered is lost')
    expect(kept.text).toContain('96.4')
    const fields = Object.fromEntries(
      [...kept.html.matchAll(/name="(kept[^"]+)" value="([^"]*)"/g)].map(match => [
        match[1] ?? '',
        match[2] ?? '',
      ]),
    )
    const offered = await wren.post('/sign-in', { ...fields, name: people.wren.name, pin })
    expect(offered.text).toContain('Send what you had entered')
    const again = Object.fromEntries(
      [...offered.html.matchAll(/<input type="hidden" name="([^"]+)" value="([^"]*)"/g)].map(match => [
        match[1] ?? '',
        match[2] ?? '',
      ]),
    )
    await wren.post(`/faults/${fault}/findings`, again)
    expect(site.deps.storage.faults.get(fault).findings[0]).toMatchObject({ id, text: '96.4' })
  })

  it('records nothing in the wrong place when two people are at one fault', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const moss = await site.as('moss')
    const fault = await report(wren)
    await attend(wren, fault)
    const refused = await find(moss, fault, 'supply', '110')
    expect(refused.status).toBe(409)
    expect(refused.text).toContain('Wren Aldous has this fault in hand')
    await find(wren, fault, 'supply', '110')
    const late = await find(wren, fault, 'supply', '60')
    expect(late.status).toBe(409)
    expect(late.text).toContain('“60” was not recorded')
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(1)
  })

  it('takes nothing more once a fault is closed', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await close(wren, fault, people.wren.name, { outcome: 'not reproduced' })
    const refused = await find(wren, fault, 'supply', '110')
    expect(refused.status).toBe(409)
    expect(refused.text).toContain('closed')
  })

  it('refuses a body over 100 kB and a damaged one, in plain words', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const large = await find(wren, fault, 'supply', '110', { note: 'x'.repeat(120_000) })
    expect([large.status, large.text.includes('100 kB')]).toEqual([413, true])
    const odd = await wren.agent
      .post('/faults')
      .set('Sec-Fetch-Site', 'same-origin')
      .set('Content-Type', 'application/x-www-form-urlencoded; charset=utf-16')
      .send('a=b')
    expect(odd.status).toBe(400)
    const zipped = await wren.agent
      .post('/faults')
      .set('Sec-Fetch-Site', 'same-origin')
      .set('Content-Encoding', 'gzip')
      .type('form')
      .send('not gzip')
    expect(zipped.status).toBe(400)
  })

  it('shows a script typed into any field as the words it is', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const script = '<script>alert(1)</script><img src=x onerror=alert(1)>'
    const fault = await report(wren, { noticed: script, reportedBy: script })
    await attend(wren, fault, { spokenTo: script, protection: script, isolation: script })
    await find(wren, fault, 'supply', '110', { note: script })
    for (const address of [
      `/faults/${fault}`,
      `/faults/${fault}/record`,
      `/faults/${fault}/status`,
      `/faults/${fault}/checks/dead/supply`,
      '/positions/up',
      `/positions?search=${encodeURIComponent(script)}`,
    ]) {
      const { html } = await wren.get(address)
      expect(html).not.toContain('<script>alert')
      expect(html).not.toContain('<img')
    }
  })

  it('stays on the edition a walk began with when another is published', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    const files = site.deps.storage.editions.files(site.deps.library.current().id)
    const changed = files.map(file => ({
      ...file,
      text: file.text.replaceAll('Hold the probes on S1 and S2.', 'Hold the probes elsewhere.'),
    }))
    site.deps.storage.editions.create({ id: 'f'.repeat(64), files: changed, publishedBy: null, note: 'test' })
    await attend(wren, fault)
    expect((await wren.open(`/faults/${fault}/next`)).text).toContain('Hold the probes on S1 and S2')
  })
})
