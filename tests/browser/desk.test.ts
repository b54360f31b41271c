import type { Browser, BrowserContext } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { makeSite, type Site } from '../support/site.ts'
import { attend, find, identify, report } from '../support/walking.ts'
import { type Hands, handsOn } from './hands.ts'

const tablet = { viewport: { width: 820, height: 1180 }, hasTouch: true }

describe.skipIf(noBrowser())('between the desk and the track', () => {
  let browser: Browser
  let site: Site
  let server: Awaited<ReturnType<typeof listen>>
  const contexts: BrowserContext[] = []

  /** Somebody's own window, signed in. */
  async function inHand(who: 'wren' | 'isla'): Promise<Hands> {
    const context = await browser.newContext(tablet)
    contexts.push(context)
    const hands = handsOn(await context.newPage(), server.address)
    await hands.signIn(who)
    return hands
  }
  const open = (hands: Hands, path: string) => hands.page.goto(server.address + path)

  beforeAll(async () => {
    browser = await sharedBrowser()
  })
  afterAll(closeContexts)
  beforeEach(async () => {
    site = await makeSite()
    server = await listen(site)
  })
  afterEach(async () => {
    for (const context of contexts.splice(0)) await context.close()
    await server.close()
  })

  it('an owner who is a technician sees an action, writes what was done, and it closes', async () => {
    const isla = await inHand('isla')
    await open(isla, '/review/positions/up/reviews/new')
    await isla.fill('What makes it worth a review?', 'third in a year')
    await isla.page.getByLabel('Who looks after it?').selectOption({ label: 'Wren Aldous, technician' })
    await isla.fill('What is to be done?', 'remake the joint in the case')
    await isla.fill('By when?', '2026-11-04')
    await isla.tap('Open the review')

    const wren = await inHand('wren')
    await wren.sees('Your actions')
    await wren.sees('due 4 Nov 2026')
    await wren.tap('remake the joint in the case')
    await wren.sees('Why: third in a year')
    await wren.fill('What did you do?', 'joint remade, dry now')
    await wren.tap('It is done')
    await wren.page.waitForURL('**/faults')
    expect(await wren.page.locator('main').textContent()).not.toContain('Your actions')

    await open(isla, '/review/reviews')
    await isla.sees('done')
    await isla.tap('Wendle Halt, Overspeed loops, up')
    await isla.sees('Result: joint remade, dry now.')
    await isla.tile('Close the review with this result')
    await isla.tap('Keep this')
    await isla.sees('Closed by Isla Verrin')
  })

  it('a unit that is kept apart is refused at a repair with its reason', async () => {
    const { storage } = site.deps
    storage.units.create({ id: 'spare', kind: 'transmitter module', serial: 'T200', variant: 'N1' })
    const isla = await inHand('isla')
    await open(isla, '/units?search=T200')
    await isla.tap('T200')
    await isla.fill('Why?', 'back from three places with the same fault')
    await isla.tap('Keep it apart')
    await isla.sees('kept apart')

    const visitor = await site.as('wren')
    const fault = await report(visitor)
    await attend(visitor, fault)
    await find(visitor, fault, 'supply', '110')
    await visitor.post(`/faults/${fault}/departures`, {
      from: 'dead#loop-resistance',
      to: 'dead#telltale',
      reason: 'seen from the gate',
    })
    await find(visitor, fault, 'telltale', '=dark')
    await identify(visitor, fault)
    const wren = await inHand('wren')
    await open(wren, `/faults/${fault}/repairs/new?action=unit+replaced&kind=transmitter+module`)
    await wren.fill('Serial number out', 'T100')
    await wren.fill('Serial number in', 'T200')
    await wren.tile('N1')
    await wren.fill('As found on the old unit', 'A')
    await wren.fill('As left on the new unit', 'A')
    await wren.fill('In words', 'module dead')
    await wren.tap('Record it')
    await wren.sees(
      'T200 is kept apart: back from three places with the same fault (Isla Verrin, 2 Nov 2026)',
    )
    expect(storage.faults.get(fault).repairs).toEqual([])
  })
})
