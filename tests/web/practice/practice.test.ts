import path from 'node:path'
import { beforeEach, describe, expect, it } from 'vitest'
import { createRandom } from '../../../server/statistics/random.ts'
import { exerciseOf } from '../../../server/web/practice/exercises.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Page, Visitor } from '../../support/visitor.ts'

const knowledgeDir = path.join(import.meta.dirname, '../../../knowledge')

let site: Site
let wren: Visitor
beforeEach(async () => {
  site = await makeSite({ knowledgeDir })
  const { practice } = site.deps
  // The same fault each time.
  if (practice) practice.chance = words => createRandom(words.replace(/^[0-9a-f-]{36}/, 'fixed 1'))
  wren = await site.as('wren')
})

function exercise() {
  const found = exerciseOf(site.deps, 'wren')
  if (!found) throw new Error('no exercise')
  return found
}

/** Hides a fault and attends it; gives its address. */
async function attended(tree: string, visitor = wren, duty = ''): Promise<string> {
  const { location } = await visitor.post('/practice', { id: '', tree, duty })
  expect(location).toMatch(/^\/practice\/world\/faults\/[0-9a-f-]{36}$/)
  const words = { spokenTo: 'signaller', protection: 'line blocked', isolation: 'nothing' }
  await visitor.post(`${location}/attendances`, { seen: 'yes', ...words })
  return location
}

interface Here {
  page: Page
  tree: string
  check: string
  probes: Record<string, string>
}

/** The check the walk stands at, its plate read where that is asked first; null at a cause or an end. */
async function stands(at: string): Promise<Here | null> {
  const page = await wren.open(`${at}/next`)
  if (page.html.includes('/plate"')) {
    await wren.post(`${at}/plate`, {})
    await wren.post(`${at}/identity`, {
      typed: /says (PX \d+ A)/.exec((await wren.get(`${at}/identity`)).text)?.[1] ?? '',
    })
    return stands(at)
  }
  const [, tree] = /name="tree" value="([^"]+)/.exec(page.html) ?? []
  const [, check] = /name="check" value="([^"]+)/.exec(page.html) ?? []
  if (!tree || !check) return null
  const chosen = [...page.html.matchAll(/<option selected>([^<]+)/g)].map(([, one]) => one ?? '')
  const [a = '', b = ''] = chosen
  return { page, tree, check, probes: { a, b } }
}

const confirmed = { dead: 'yes', ends: 'yes', electronics: 'yes' }

/** Takes the reading as the check says, and records what was shown. */
async function asShown(at: string, { tree, check, probes }: Here, text?: string): Promise<Page> {
  await wren.post(`${at}/train`, {})
  await wren.post(`${at}/meter`, { tree, check, from: 'checks', done: 'yes', ...probes, ...confirmed })
  const last = exercise().readings.at(-1)
  const found: Record<string, string> = last?.word
    ? { how: 'observation', word: last.word }
    : { how: 'reading', text: text ?? last?.text ?? '', confirmed: text ?? last?.text ?? '' }
  return wren.post(`${at}/findings`, { tree, check, ...found, ...confirmed, wetOrDry: 'dry' })
}

/** Walks on what is shown until the walk stands at a cause or an end. */
async function walked(at: string): Promise<void> {
  for (let turn = 0; turn < 40; turn++) {
    const here = await stands(at)
    if (!here) return
    expect((await asShown(at, here)).status).toBe(303)
  }
}

/** The result that the person was sent to. */
async function told(location: string): Promise<Page> {
  expect(location).toMatch(/^\/practice\/results\//)
  return wren.get(location)
}

describe('an exercise', () => {
  it('is walked on the pages of a technician, on what the model shows', async () => {
    const at = await attended('one-loop-dead')
    await walked(at)
    const place = await wren.open(`${at}/next`)
    expect(place.location).toBe('')
    const { cause } = exercise().hidden
    const page = await told((await wren.post('/practice/stop', { id: '' })).location)
    expect(page.text).toContain('You stopped before the end')
    expect(page.text).toContain('The author’s order')
    expect(site.deps.practice?.results.listOf('wren', 5)).toMatchObject([{ cause, found: false }])
  })

  it('shows the same again to the same instrument, and something else elsewhere', async () => {
    const at = await attended('supply-absent-or-low')
    const here = await stands(at)
    if (!here) throw new Error('no check')
    const ask = (probes: Record<string, string>) =>
      wren.post(`${at}/meter`, { tree: here.tree, check: here.check, from: 'checks', done: 'yes', ...probes })
    await ask(here.probes)
    await ask(here.probes)
    await ask({ a: 'A1', b: 'D2' })
    const [first, second, elsewhere] = exercise().readings
    expect(second?.text).toBe(first?.text)
    expect(elsewhere?.probes).toEqual(['A1', 'D2'])
    expect((await wren.open(`${at}/next`)).text).toContain(elsewhere?.says)
  })

  it('tells a reading that was recorded otherwise than it was shown', async () => {
    const at = await attended('case-supply-low')
    const here = await stands(at)
    if (!here) throw new Error('no check')
    await asShown(at, here, '55 V')
    const page = await told((await wren.post('/practice/stop', { id: '' })).location)
    expect(page.text).toContain('The instrument or the eye said')
  })
})

describe('what would be dangerous', () => {
  it('ends it where the code is typed and not read off the plate', async () => {
    const at = await attended('supply-absent-or-low')
    let page = await wren.open(`${at}/next`)
    for (let turn = 0; turn < 10 && !page.html.includes('/plate"'); turn++) {
      const here = await stands(at)
      if (here) await asShown(at, here)
      page = await wren.open(`${at}/next`)
      if (page.text.includes('Is this the right equipment?')) break
    }
    const { plate } = exercise().deps.storage.positions.get('here')
    const sent = await wren.post(`${at}/identity`, { typed: plate })
    expect((await told(sent.location)).text).toContain('You did not read the plate')
    expect((await wren.post(`${at}/findings`, {})).location).toMatch(/^\/practice\/results\//)
  })

  it('ends it where work goes on while a train is signalled', async () => {
    const at = await attended('fuse-blows-again')
    for (let turn = 0; turn < 20; turn++) {
      const here = await stands(at)
      if (!here) break
      const check = site.deps.library.current().knowledge.trees.get(here.tree)?.checks.get(here.check)
      if (!check?.disturbs) {
        await asShown(at, here)
        continue
      }
      exercise().practising.train = `${at.replace('/practice/world', '')}/train`
      expect((await wren.open(`${at}/next`)).text).toContain('The signal shows proceed')
      const sent = await wren.post(`${at}/meter`, {
        tree: here.tree,
        check: here.check,
        done: 'yes',
        ...here.probes,
      })
      expect((await told(sent.location)).text).toContain('while a train was signalled')
      return
    }
    throw new Error('no check that disturbs')
  })
})

describe('apart from the depot', () => {
  it('leaves nothing in the depot’s tables, trail, lists, search or exports', async () => {
    const isla = await site.as('isla')
    const rows = () =>
      site.db
        .prepare<[], { name: string }>(
          "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'",
        )
        .all()
        .map(({ name }) => [name, site.db.prepare(`SELECT count(*) AS n FROM "${name}"`).get()] as const)
    const before = rows()
    const at = await attended('one-loop-dead')
    await walked(at)
    await wren.post('/practice/stop', { id: '' })
    expect(rows()).toEqual(before)
    for (const address of ['/faults', '/open', '/review', '/trail', '/positions?search=PX', '/export'])
      expect((await isla.open(address)).text).not.toContain('Practice site')
    const fault = at.split('/').at(-1) ?? ''
    for (const address of [`/faults/${fault}`, `/faults/${fault}/record`])
      expect((await isla.get(address)).status).toBe(404)
  })

  it('is marked on every page, in its title and in a band, and has no way to the depot’s work', async () => {
    const at = await attended('one-loop-dead')
    for (const page of ['', '/next', '/likely', '/record', '/card', '/status', '/put-back', '/closure']) {
      const { html } = await wren.open(at + page)
      expect(html).toMatch(/<title>Practice: /)
      expect(html).toContain('class="practice-band"')
      expect(html).toContain('This fault is invented')
      const addresses = [...html.matchAll(/(?:href|action)="(\/[^"]*)"/g)].map(([, one]) => one ?? '')
      const outside = addresses.filter(one => !/^\/(practice|assets|look|sign-|me|sources|$)/.test(one))
      expect(outside).toEqual([])
    }
    const lost = await wren.get('/practice/world/export')
    expect([lost.status, lost.html.includes('class="practice-band"')]).toEqual([404, true])
  })

  it('is the person’s own: nobody else reads what became of it', async () => {
    await attended('one-loop-dead')
    const { location } = await wren.post('/practice/stop', { id: '' })
    expect((await wren.get(location)).status).toBe(200)
    for (const other of ['moss', 'isla'] as const)
      expect((await (await site.as(other)).get(location)).status).toBe(404)
    await wren.post('/practice/forget', {})
    expect((await wren.get(location)).status).toBe(404)
  })

  it('tells the engineer of slow causes only where five people had them', async () => {
    const isla = await site.as('isla')
    const of = (n: number) => ({ id: `r${n}`, personId: `p${n}`, endedAt: '2026-11-02T02:00:00Z' })
    const rest = {
      cause: 'loop-transmitter/loop-shorted',
      tree: 'one-loop-dead',
      minutes: 40,
      found: true,
      content: '{}',
    }
    for (const n of [1, 2, 3, 4]) site.deps.practice?.results.add({ ...of(n), ...rest })
    expect((await isla.get('/practice/causes')).text).toContain(
      'No cause has been hidden from five people yet',
    )
    site.deps.practice?.results.add({ ...of(5), ...rest })
    const { text } = await isla.get('/practice/causes')
    expect(text).toMatch(/Loop shorted \S* ?5 5 5 40/i)
    expect((await wren.get('/practice/causes')).status).toBe(403)
  })

  it('lets an engineer and an author practise as a technician does', async () => {
    for (const name of ['isla', 'odo'] as const) {
      const visitor = await site.as(name)
      const at = await attended('one-loop-dead', visitor)
      expect((await visitor.open(`${at}/next`)).text).toContain('Practice site')
    }
  })
})
