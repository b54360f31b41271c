import { randomUUID } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { demoLimits } from '../../../server/knowledge/limit-use.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'

const path = 'equipment/small-transmitter.md'
const address = '/limits/small-transmitter'
const inUse = (site: Site) =>
  site.deps.library.files(site.deps.library.current().id).find(file => file.path === path)?.text ?? ''
const draftText = (site: Site) => site.deps.storage.drafts.findByPath(path)?.head.text ?? ''

/** The fields of the form as a browser would send them untouched. */
async function fields(visitor: Visitor): Promise<Record<string, string>> {
  const { html } = await visitor.get(address)
  const form = html.slice(html.indexOf('class="limits"'), html.indexOf('In a spreadsheet'))
  const inputs = form.matchAll(/<input\b[^>]*?\bname="([^"]+)"[^>]*?\bvalue="([^"]*)"/g)
  return Object.fromEntries([...inputs].map(([, name = '', value = '']) => [name, value]))
}

const owned = {
  'value-0': '104 to 116',
  'source-0': 'Letter 7, line 3',
  'who-0': 'Head of signalling',
  'from-0': '2026-03-05',
}

describe('limits as a form', () => {
  it('lists each with its state and what it decides, made-up values beside the fields and not in them', async () => {
    const site = await makeSite()
    const isla = await site.as('isla')
    expect((await isla.get('/limits')).text).toMatch(/Small transmitter 3 0 2 1/)
    const { text } = await isla.get(address)
    expect(text).toContain('demo value')
    expect(text).toContain('Now 99 to 121 V AC. Demo value, for tests')
    expect(text).toMatch(/1 check \(\d+ min\) in 1 tree/)
    const sent = await fields(isla)
    expect([sent['value-0'], sent['unit-0'], sent['source-0']]).toEqual(['', 'V AC', ''])
  })

  it('changes the rows that were filled in and no other line, in a draft', async () => {
    const site = await makeSite()
    const isla = await site.as('isla')
    const before = inUse(site).split('\n')
    const saved = await isla.post(address, { ...(await fields(isla)), ...owned })
    expect([saved.status, saved.location]).toEqual([303, address])
    const after = draftText(site).split('\n')
    expect(after).toHaveLength(before.length)
    const changed = after.filter((line, n) => line !== before[n])
    expect(changed).toEqual([
      '| supply voltage  | 104 to 116 | V AC | Letter 7, line 3; given by Head of signalling; from 2026-03-05 | – |',
    ])
    expect(inUse(site).split('\n')).toEqual(before)
    const page = await isla.get(address)
    expect(page.text).toContain('1 changed in the draft')
    expect((await fields(isla))['source-0']).toBe('Letter 7, line 3')
    expect(await fields(isla)).toMatchObject(owned)
  })

  it('is approved and published as any draft, and then takes the demo value out of use', async () => {
    const site = await makeSite()
    const [isla, rue] = [await site.as('isla'), await site.as('rue')]
    const count = () => demoLimits(site.deps.library.current().knowledge)
    expect(count()).toBe(2)
    await isla.post(address, { ...(await fields(isla)), ...owned })
    const id = randomUUID()
    const draft = site.deps.storage.drafts.findByPath(path)?.id ?? ''
    expect((await isla.get(`/proposals/new?drafts=${draft}`)).html).toMatch(/checked/)
    await isla.post('/proposals', { id, note: 'Our supply', drafts: draft })
    await rue.post(`/proposals/${id}/decisions`, { verdict: 'approved' })
    await isla.post(`/proposals/${id}/publication`, {})
    expect(count()).toBe(1)
    expect((await isla.get(address)).text).toContain('1 of 3 are your own')
  })

  it.each([
    ['a value without a source', { 'value-0': '104 to 116' }, 'Say where it comes from'],
    [
      'a source that calls it a demo',
      { 'value-0': '1', 'source-0': 'Demo value' },
      'Say where it comes from',
    ],
    ['a value that nobody can read', { ...owned, 'value-0': 'about a hundred' }, 'supply voltage:'],
    ['a unit there is not', { ...owned, 'unit-0': 'furlong' }, 'supply voltage:'],
    ['a day that is none', { ...owned, 'from-0': '5 March' }, 'Write the day as'],
    ['nothing', {}, 'Nothing is changed yet'],
    [
      'a page from before another change',
      { ...owned, over: 'older' },
      'Somebody changed this file meanwhile',
    ],
  ])('refuses %s, and gives back what was typed', async (_, given, words) => {
    const site = await makeSite()
    const isla = await site.as('isla')
    const again = await isla.post(address, { ...(await fields(isla)), ...given })
    expect(again.status).toBe(400)
    expect(again.text).toContain(words)
    for (const value of Object.values(given))
      if (value !== 'older') expect(again.html).toContain(`value="${value}"`)
    expect(site.deps.storage.drafts.findByPath(path)).toBeNull()
  })

  it('goes out to a spreadsheet and comes in again, filled in', async () => {
    const site = await makeSite()
    const isla = await site.as('isla')
    const out = (await isla.get(`${address}/file`)).html
    expect(out).toContain('supply voltage,99 to 121,V AC')
    const over = (await fields(isla)).over ?? ''
    const bring = (text: string) =>
      isla.agent
        .post(`${address}/file`)
        .set('Sec-Fetch-Site', 'same-origin')
        .field({ id: randomUUID(), over })
        .attach('file', Buffer.from(text), 'limits.csv')
    const same = await bring(out)
    expect([same.status, same.text]).toEqual([400, expect.stringContaining('Nothing is changed yet')])
    const row = /loop resistance,[^\r]*/.exec(out)?.[0] ?? ''
    const filled = out.replace(row, 'loop resistance,-0.5 to 1.5,ohm,Drawing 4,,2026-03-05,,')
    expect((await bring(filled)).status).toBe(303)
    expect(draftText(site)).toContain(
      '| loop resistance | -0.5 to 1.5 | ohm  | Drawing 4; from 2026-03-05   | – |',
    )
    expect((await bring('Limit;Value\nx;1\n')).text).toContain('The first row names the columns')
    expect((await bring('Limit;Value;Unit;Source\nvoltage of the moon;1;V;x\n')).text).toContain(
      'There is no limit called',
    )
  })

  it('is read by reviewers and written by authors and engineers', async () => {
    const site = await makeSite()
    expect((await (await site.as('rue')).get(address)).text).not.toContain('Save in the draft')
    expect((await (await site.as('odo')).get(address)).text).toContain('Save in the draft')
    expect((await (await site.as('wren')).get(address)).status).toBe(403)
  })
})
