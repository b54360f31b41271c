import { randomUUID } from 'node:crypto'
import { afterAll, beforeEach, describe, expect, it } from 'vitest'
import { knowledgeWithRound } from '../../support/rounds.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, close, find, identify, prove, report, restoreAll } from '../../support/walking.ts'

// Rounds on the small test knowledge. What counts as seen healthy is our own rule: common practice, no published source.

const knowledge = knowledgeWithRound()
let site: Site
let wren: Visitor
beforeEach(async () => {
  site = await makeSite({ knowledgeDir: knowledge.folder })
  wren = await site.as('wren')
})

afterAll(() => knowledge.remove())

const begin = async (visitor: Visitor, position = 'up', typed = 'WH-3-U') => {
  const id = randomUUID()
  const page = await visitor.post(`/positions/${position}/rounds`, { id, tree: 'round', typed })
  return { id, page }
}
const say = (
  visitor: Visitor,
  visit: string,
  check: string,
  found: string,
  more: Record<string, string> = {},
) =>
  visitor.post(`/rounds/${visit}/findings`, {
    ...{ tree: 'round', check, ...more },
    ...(found === '?'
      ? { how: 'cannot tell' }
      : found.startsWith('=')
        ? { how: 'observation', word: found.slice(1) }
        : { how: 'reading', text: found }),
  })
const visitOf = (id: string) => site.deps.storage.visits.get(id)

async function walkHealthy(visitor: Visitor, loops = '=firm'): Promise<string> {
  const { id } = await begin(visitor)
  await say(visitor, id, 'telltale', '=lit')
  await say(visitor, id, 'supply-at-the-visit', '110')
  await say(visitor, id, 'loops', loops)
  await say(visitor, id, 'proving', '=seen')
  return id
}

async function end(visitor: Visitor, id: string, how: string, more: Record<string, string> = {}) {
  const { html } = await visitor.get(`/rounds/${id}/end`)
  const keys = Object.fromEntries(
    [...html.matchAll(/name="(key\d+)" value="([^"]+)"/g)].map(([, name = '', value = '']) => [name, value]),
  )
  return visitor.post(`/rounds/${id}/end`, { how, ...keys, ...more })
}

describe('a round', () => {
  it('begins only with the code of this plate, and names the look-alike', async () => {
    const { id, page } = await begin(wren, 'up', 'WH-3-D')
    expect(page.status).toBe(400)
    expect(page.text).toContain('is the plate of Overspeed loops, down')
    expect(() => visitOf(id)).toThrow('no such visit')
    expect((await begin(wren, 'up', 'wh 3 u')).page.status).toBe(303)
  })

  it('is walked check by check to its end, and hides a blind check’s limit until the reading is in', async () => {
    const { id, page } = await begin(wren)
    expect((await wren.open(page.location)).text).toContain('Telltale')
    await say(wren, id, 'telltale', '=lit')
    const supply = await wren.open(`/rounds/${id}/next`)
    expect(supply.text).toContain('The expected range is shown once the reading is in.')
    const read = await wren.open((await say(wren, id, 'supply-at-the-visit', '110')).location)
    expect(read.text).toContain('In range')
    expect(supply.text).not.toContain('Last readings here')
    expect(read.text).toContain('Last readings here')
    expect(read.text).toMatch(/Limit \(demo value\): 99 to 121.V AC/)
    expect((await wren.open(`/rounds/${id}/next`)).text).toContain('Look at the loops')
  })

  it('wants each thing it disturbed answered before it ends', async () => {
    const id = await walkHealthy(wren)
    const refused = await end(wren, id, 'healthy')
    expect(refused.status).toBe(400)
    expect(refused.text).toContain('Say whether it is back: one core off L1')
    const done = await end(wren, id, 'healthy', { item0: 'restored' })
    expect(done.location).toBe(`/rounds/${id}`)
    expect(visitOf(id).restorations).toHaveLength(1)
    expect((await wren.get(`/rounds/${id}`)).text).toContain('healthy')
  })

  it('that found all healthy starts the interval anew; one that could not see all does not', async () => {
    const before = site.deps.storage.visits.dueAt('up')
    expect([before?.lastHealthy, before?.seenHow]).toEqual([null, null])
    const part = await walkHealthy(wren, '?')
    await end(wren, part, 'healthy in part', { item0: 'restored' })
    expect(visitOf(part).end?.how).toBe('healthy in part')
    expect(site.deps.storage.visits.dueAt('up')?.lastHealthy).toBeNull()
    const whole = await walkHealthy(wren)
    await end(wren, whole, 'healthy', { item0: 'never disturbed' })
    expect(site.deps.storage.visits.dueAt('up')).toMatchObject({
      lastHealthy: visitOf(whole).end?.at,
      seenHow: 'round',
    })
  })

  it('that finds a fault leads to its report, filled in, and knows the fault afterwards', async () => {
    const { id } = await begin(wren)
    await say(wren, id, 'telltale', '=dark')
    const ended = await end(wren, id, 'fault found', { words: 'Blue telltale dark.' })
    expect(ended.location).toBe(`/faults/new?position=up&visit=${id}`)
    const form = await wren.get(ended.location)
    expect(form.text).toContain('Found on a round: dark. Blue telltale dark.')
    const faultId = visitOf(id).end?.faultId ?? ''
    expect(form.html).toContain(`name="id" value="${faultId}"`)
    expect((await wren.get(`/rounds/${id}`)).text).toContain('has not been reported yet')
    await report(wren, { id: faultId, reportedBy: 'found on a round by Wren Aldous' })
    expect((await wren.get(`/rounds/${id}`)).html).toContain(`/faults/${faultId}`)
  })

  it('that could not test is broken off with its reason, and stays due', async () => {
    const { id } = await begin(wren)
    await say(wren, id, 'telltale', '=behind the snow')
    expect((await wren.get(`/rounds/${id}/end`)).text).toContain('the round stays due')
    expect((await end(wren, id, 'healthy', { words: 'snow' })).status).toBe(409)
    expect((await end(wren, id, 'broken off')).status).toBe(400)
    await end(wren, id, 'broken off', { words: 'snow' })
    expect(visitOf(id).end?.how).toBe('broken off')
    expect(site.deps.storage.visits.dueAt('up')?.lastHealthy).toBeNull()
  })

  it('counts as no fault, however it ends', async () => {
    const { id } = await begin(wren)
    await say(wren, id, 'telltale', '=dark')
    await end(wren, id, 'fault found', { words: 'dark' })
    await end(wren, await walkHealthy(wren), 'healthy', { item0: 'restored' })
    const { faults, sites, pastFaults } = site.deps.storage
    expect([faults.listRecent(10), faults.listOpen(), pastFaults.list()]).toEqual([[], [], []])
    expect(faults.countEarlier('up', '2027-01-01T00:00:00.000Z', 3650)).toBe(0)
    expect(sites.list()[0]).toMatchObject({ openFaults: 0, faultsInYear: 0 })
  })

  it('keeps its readings in the trend of their check, the corrected one only', async () => {
    const { id } = await begin(wren)
    await say(wren, id, 'telltale', '=lit')
    await say(wren, id, 'supply-at-the-visit', '109')
    const wrong = visitOf(id).findings[1]?.id ?? ''
    expect((await say(wren, id, 'supply-at-the-visit', '110', { replaces: wrong })).status).toBe(400)
    await say(wren, id, 'supply-at-the-visit', '110', { replaces: wrong, reason: 'misread' })
    const page = await wren.get(`/rounds/${id}`)
    expect(page.text).toContain('Corrected by Wren Aldous: misread')
    const kept = visitOf(id).findings.filter(one => one.kind === 'reading')
    expect(kept).toHaveLength(2)
  })

  it('sent twice is written once, and nothing is added once it has ended or by another', async () => {
    const { id } = await begin(wren)
    const form = { id: randomUUID() }
    await say(wren, id, 'telltale', '=lit', form)
    await say(wren, id, 'telltale', '=lit', form)
    expect(visitOf(id).findings).toHaveLength(1)
    const moss = await site.as('moss')
    expect((await say(moss, id, 'supply-at-the-visit', '110')).status).toBe(409)
    const gone = { id: randomUUID(), words: 'train coming' }
    expect((await end(wren, id, 'broken off', { ...gone, words: '' })).status).toBe(400)
    await end(wren, id, 'broken off', gone)
    expect((await wren.post(`/rounds/${id}/end`, { how: 'broken off', ...gone })).status).toBe(303)
    expect((await say(wren, id, 'supply-at-the-visit', '110')).status).toBe(409)
    expect(visitOf(id).end?.how).toBe('broken off')
  })
})

describe('what is due', () => {
  it('follows the interval the engineer sets for the kind, and a repair that was proved', async () => {
    const isla = await site.as('isla')
    expect((await isla.get('/rounds')).text).toContain('no interval')
    const bad = await isla.post('/rounds/intervals', { 'days-small-transmitter': '0.5' })
    expect(bad.status).toBe(400)
    await isla.post('/rounds/intervals', { 'days-small-transmitter': '90' })
    expect((await isla.get('/rounds')).text).toContain('2 overdue')
    await end(wren, await walkHealthy(wren), 'healthy', { item0: 'restored' })
    expect((await isla.get('/rounds')).text).toContain('1 overdue')
    site.pass(82 * 24 * 60)
    const engineer = await site.as('isla')
    expect((await engineer.get('/rounds')).text).toContain('1 due')
    const list = await engineer.get('/rounds?show=all')
    expect(list.text).toMatch(/82 days ago.*round/)
    expect((await engineer.get('/positions/up')).text).toContain('Last seen healthy')
    site.pass(20 * 24 * 60)
    expect((await (await site.as('isla')).get('/rounds')).text).toContain('2 overdue')
  })

  it('counts a proved repair as seen healthy', async () => {
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', 'none')
    await identify(wren, fault)
    await wren.post(`/faults/${fault}/repairs`, {
      ...{ action: 'other', words: 'a strand across S2 removed' },
    })
    await restoreAll(wren, fault)
    await prove(wren, fault, 'supply', '110')
    await wren.post(`/faults/${fault}/proof/symptom`, { word: 'gone' })
    await close(wren, fault, 'Wren Aldous', { outcome: 'proven cause', changed: 'fuse' })
    const closed = site.deps.storage.faults.summary(fault)
    expect(closed.outcome).toBe('proven cause')
    expect(site.deps.storage.visits.dueAt('up')).toMatchObject({
      lastHealthy: closed.closedAt,
      seenHow: 'repair proved',
    })
  })

  it('lets only an engineer set it', async () => {
    expect((await wren.post('/rounds/intervals', { 'days-small-transmitter': '30' })).status).toBe(403)
    expect(site.deps.storage.visits.intervals().size).toBe(0)
  })
})
