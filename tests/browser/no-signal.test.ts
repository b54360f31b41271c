// A shift where there is no signal: the program is carried on the tablet, and what was done there arrives afterwards.

import type { Browser, BrowserContext } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { makeSite, type Site } from '../support/site.ts'
import { type Hands, handsOn } from './hands.ts'
import { doMainJobSignedIn } from './main-job.ts'

describe.skipIf(noBrowser())('a shift without signal', () => {
  let browser: Browser
  let site: Site
  let server: Awaited<ReturnType<typeof listen>>
  let context: BrowserContext
  let hands: Hands
  beforeAll(async () => {
    browser = await sharedBrowser()
  })
  afterAll(closeContexts)
  beforeEach(async () => {
    site = await makeSite({ env: { RATE_PER_MINUTE: '0' } })
    server = await listen(site)
    context = await browser.newContext({ viewport: { width: 820, height: 1180 }, hasTouch: true })
    hands = handsOn(await context.newPage(), server.address)
    await hands.signIn('wren')
  })
  afterEach(async () => {
    await context.close()
    await server.close()
  })

  const port = () => Number(new URL(server.address).port)

  async function carryTheShift(): Promise<void> {
    await hands.page.goto(`${server.address}/tablet`)
    await hands.page.getByRole('button', { name: 'Carry the shift on this tablet' }).tap()
    await hands.sees('Ready: this tablet works without signal.')
  }

  /** The depot is gone, and the network with it. */
  async function loseSignal(): Promise<void> {
    await server.close()
    await context.setOffline(true)
  }

  async function findSignal(): Promise<void> {
    server = await listen(site, port())
    await context.setOffline(false)
  }

  const signatures = () => site.db.prepare('SELECT count(*) FROM signatures').pluck().get()

  /** What waits on the tablet, by its own count. */
  const unsent = () =>
    hands.page.evaluate(async () => {
      const { port1, port2 } = new MessageChannel()
      const answer = new Promise<{ unsent: number }>(resolve => {
        port1.onmessage = ({ data }) => resolve(data)
      })
      const { active } = await navigator.serviceWorker.ready
      active?.postMessage('state', [port2])
      return (await answer).unsent
    })

  it('walks a fault from its report to the signature, and the depot then has it all, each act once', async () => {
    await carryTheShift()
    await loseSignal()
    await hands.page.goto(`${server.address}/faults`)
    await doMainJobSignedIn(hands)
    await hands.sees('Without signal since')
    if (process.env.SHOTS) await hands.page.screenshot({ path: `${process.env.SHOTS}/record.png` })
    expect(site.deps.storage.faults.listOpen()).toHaveLength(0)
    await findSignal()
    await hands.page.reload()
    await hands.sees('Signed: Wren Aldous')
    const { storage } = site.deps
    const fault = new URL(hands.page.url()).pathname.split('/')[2] ?? ''
    await expect.poll(signatures).toBe(1)
    await expect.poll(unsent).toBe(0)
    const record = storage.faults.get(fault)
    expect(record.findings).toHaveLength(2)
    expect(record.proofs).toHaveLength(2)
    expect(record.restorations).toHaveLength(2)
    expect(record.repairs).toHaveLength(1)
    expect(record.closure?.outcome).toBe('proven cause')
    expect(record.signatures).toHaveLength(1)
    expect(storage.shifts.listApart(fault)).toEqual([])
  })
})
