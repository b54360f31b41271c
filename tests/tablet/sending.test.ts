import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { killedShift } from '../support/killed-shift.ts'
import { makeSite, type Site } from '../support/site.ts'
import { gone, good, type Network, type TabletBrowser, tabletBrowser } from '../support/tablet-worker.ts'
import type { Visitor } from '../support/visitor.ts'
import { attend, identify, report } from '../support/walking.ts'

let site: Site
let wren: Visitor
let tablet: TabletBrowser
let fault: string

beforeEach(async () => {
  site = await makeSite({ env: { RATE_PER_MINUTE: '0' } })
  wren = await site.as('wren')
  fault = await report(wren)
  await attend(wren, fault)
  await identify(wren, fault)
  tablet = await tabletBrowser(site, wren)
  expect(await tablet.tell('carry')).toMatchObject({ carrying: true, trouble: null })
})

const record = () => site.deps.storage.faults.get(fault)
const disturbances = () => record().disturbances.map(({ item }) => item)

/** Something taken off by hand: a form that may come again and again. */
async function takeOff(item: string, id: string = randomUUID(), plainly = false) {
  return tablet.post(`/faults/${fault}/disturbances`, { id, item }, plainly)
}

/** Each network that is worse than none, by what it does with a request. */
const bad: Record<string, Network> = {
  'answers are lost after the depot wrote': async (_, ask) => {
    await ask()
    throw new TypeError('Failed to fetch')
  },
  'the depot answers 500': async () => new Response('', { status: 500, headers: { 'X-Request-Id': 'one' } }),
  'a proxy answers that it can’t reach the depot': async () => new Response('', { status: 502 }),
  'a captive portal answers with its page': async () =>
    new Response('<h1>Welcome</h1>', { headers: { 'Content-Type': 'text/html' } }),
  'a captive portal redirects to its page': async () =>
    new Response('', { status: 302, headers: { Location: 'https://portal.test/' } }),
  'a captive portal answers in JSON': async () => Response.json({ kept: 'all', arrived: 'all' }),
}

describe.each(Object.entries(bad))('where %s', (_, network) => {
  it.each(['by the page’s script', 'by a page without scripts'])(
    'what is sent %s is kept, and arrives once',
    async how => {
      tablet.network = network
      const plainly = how.includes('without')
      for (const item of ['lead 1', 'lead 2']) {
        const { location, text, status } = await takeOff(item, randomUUID(), plainly)
        expect(plainly ? location : status).toBe(plainly ? `/faults/${fault}/put-back` : 200)
        if (!plainly) expect(JSON.parse(text)).toMatchObject({ waits: true })
      }
      expect((await tablet.get(`/faults/${fault}/put-back`)).text).toContain('lead 2')
      await tablet.settle()
      expect((await tablet.tell('send')).unsent).toBeGreaterThan(0)
      tablet.restart()
      tablet.network = good
      expect(await tablet.tell('send')).toMatchObject({ unsent: 0 })
      expect(disturbances()).toEqual(['lead 1', 'lead 2'])
      await tablet.tell('send')
      expect(disturbances()).toHaveLength(2)
    },
  )
})

describe('a signal that comes and goes', () => {
  it('loses nothing and doubles nothing, whichever request it takes', async () => {
    let turn = 0
    const networks = [good, gone, ...Object.values(bad)]
    tablet.network = (address, ask) => {
      turn += 1
      return (networks[(turn * 5 + (turn >> 3)) % networks.length] ?? good)(address, ask)
    }
    const items = Array.from({ length: 30 }, (_, n) => `lead ${n}`)
    for (const item of items) {
      expect((await takeOff(item)).status).toBe(200)
      expect((await tablet.get(`/faults/${fault}/put-back`)).text).toContain(item)
    }
    await tablet.settle()
    tablet.network = good
    expect(await tablet.tell('send')).toMatchObject({ unsent: 0 })
    expect(disturbances()).toEqual(items)
  })
})

describe('a clock two hours out', () => {
  it.each([2, -2])('(%i h) dates what is recorded as the depot would', async hours => {
    tablet.clockAheadMs = hours * 3600_000
    await tablet.tell('carry')
    tablet.network = gone
    const before = site.deps.clock().toISOString()
    await takeOff('lead 1')
    const after = site.deps.clock().toISOString()
    site.pass(60)
    tablet.network = good
    await tablet.tell('send')
    const [made] = record().disturbances
    // The two clocks are compared over a connection that takes a moment itself.
    expect(Date.parse(made?.at ?? '')).toBeGreaterThan(Date.parse(before) - 1000)
    expect(Date.parse(made?.at ?? '')).toBeLessThan(Date.parse(after) + 1000)
  })

  it('that is put back during the shift puts no act before the one before it', async () => {
    tablet.network = gone
    await takeOff('lead 1')
    tablet.clockAheadMs = -2 * 3600_000
    await takeOff('lead 2')
    tablet.network = good
    await tablet.tell('send')
    const [first, second] = record().disturbances
    expect(first && second && first.at <= second.at).toBe(true)
  })
})

it('a worker that is started by many requests at once has what each of them recorded', async () => {
  tablet.network = gone
  for (let turn = 1; turn <= 3; turn += 1) {
    tablet.restart()
    await Promise.all([takeOff(`lead ${turn}a`), tablet.get('/faults'), takeOff(`lead ${turn}b`)])
  }
  const { text } = await tablet.get(`/faults/${fault}/put-back`)
  for (const item of ['1a', '1b', '2a', '2b', '3a', '3b']) expect(text).toContain(`lead ${item}`)
  tablet.network = good
  await tablet.tell('send')
  expect(disturbances()).toHaveLength(6)
})

it('a browser that is killed at any moment has what it answered, and sends each act once', async () => {
  const { entered, recorded, unsent } = await killedShift(20, inOrder(20))
  expect(unsent).toBe(0)
  expect(recorded.toSorted()).toEqual(entered.toSorted())
})

/** Numbers from 0 to 1 that lie apart, the same in each run. */
function inOrder(count: number): () => number {
  let turn = 0
  return () => {
    turn += 1
    return ((turn * 7) % (2 * count)) / (2 * count)
  }
}

describe('what is recorded with a poor signal', () => {
  it('is answered at once without any, and arrives in order when there is some', async () => {
    tablet.network = gone
    for (const item of ['lead 1', 'lead 2', 'lead 3']) expect((await takeOff(item)).status).toBe(200)
    expect((await tablet.get(`/faults/${fault}/put-back`)).text).toContain('lead 3')
    await tablet.settle()
    expect(disturbances()).toEqual([])
    tablet.network = good
    expect(await tablet.tell('send')).toMatchObject({ unsent: 0 })
    expect(disturbances()).toEqual(['lead 1', 'lead 2', 'lead 3'])
  })

  it('is recorded on both with signal, so that it is there when the signal goes', async () => {
    await takeOff('lead 1', randomUUID(), true)
    await takeOff('lead 2')
    expect(disturbances()).toEqual(['lead 1', 'lead 2'])
    expect(await tablet.tell('state')).toMatchObject({ unsent: 0 })
    tablet.network = gone
    const { text } = await tablet.get(`/faults/${fault}/put-back`)
    expect(text).toContain('lead 1')
    expect(text).toContain('lead 2')
  })
})
