// A shift where there is no signal: the program is carried on the tablet, and what was done there arrives afterwards.

import type { Browser, BrowserContext } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it, onTestFinished } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { ownProfile } from '../support/own-browser.ts'
import { makeSite, type Site } from '../support/site.ts'
import { type Hands, handsOn } from './hands.ts'
import { doMainJobSignedIn } from './main-job.ts'

/** The worker and SQLite are packed when they are first asked for, which takes a busy machine a while. */
beforeAll(async () => {
  const server = await listen(await makeSite())
  const worker = await (await fetch(`${server.address}/tablet-worker.js`)).text()
  await fetch(server.address + /\/tablet\/sqlite3\.wasm\?v=\w+/.exec(worker)?.[0])
  await server.close()
})

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

  const unsent = async () => (await state()).unsent
  const carrying = async () => (await state()).carrying

  /** How it stands, in the worker's own words. */
  const state = () =>
    hands.page.evaluate(async () => {
      const { port1, port2 } = new MessageChannel()
      const answer = new Promise<{ unsent: number; carrying: boolean }>(resolve => {
        port1.onmessage = ({ data }) => resolve(data)
      })
      const { active } = await navigator.serviceWorker.ready
      active?.postMessage('state', [port2])
      return answer
    })

  it('walks a fault from its report to the signature, and the depot then has it all, each act once', async () => {
    await carryTheShift()
    await loseSignal()
    await hands.page.goto(`${server.address}/faults`)
    await doMainJobSignedIn(hands)
    await hands.sees('Without signal since')
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
    expect(storage.shifts.listLate(fault)).toEqual([])
  })

  it('says what needs signal, and shows nothing once somebody has signed out', async () => {
    await carryTheShift()
    await hands.page.goto(`${server.address}/faults`)
    await hands.page.getByRole('button', { name: 'Sign out' }).tap()
    await hands.page.waitForURL('**/sign-in')
    await loseSignal()
    await hands.page.goto(`${server.address}/faults`)
    await hands.sees('You have signed out on this tablet')
    await findSignal()
    await hands.signIn('wren')
    await hands.page.goto(`${server.address}/faults`)
    await expect.poll(() => carrying()).toBe(true)
    await loseSignal()
    await hands.page.goto(`${server.address}/people`)
    await hands.sees('This page needs signal')
    await hands.page.goto(`${server.address}/faults`)
    await hands.sees('Without signal since')
  })

  it('gives another person nothing of it', async () => {
    await carryTheShift()
    await hands.page.goto(`${server.address}/faults`)
    await hands.page.getByRole('button', { name: 'Sign out' }).tap()
    await hands.page.waitForURL('**/sign-in')
    await hands.signIn('moss')
    await hands.page.goto(`${server.address}/faults`)
    await expect.poll(() => carrying()).toBe(false)
    await loseSignal()
    await expect(hands.page.goto(`${server.address}/faults`)).rejects.toThrow()
  })
})

describe.skipIf(noBrowser())('a tablet whose browser is killed without signal', () => {
  it('has each act that it answered, and sends it when there is signal', async () => {
    const site = await makeSite({ env: { RATE_PER_MINUTE: '0' } })
    let server = await listen(site)
    const { address } = server
    onTestFinished(() => server.close())
    const open = ownProfile()
    let own = await open()
    let hands = handsOn(await own.page(), address, 'keyboard')
    await hands.signIn('wren')
    await hands.page.goto(`${address}/tablet`)
    await hands.page.getByRole('button', { name: 'Carry the shift on this tablet' }).click()
    await hands.sees('Ready: this tablet works without signal.')
    await server.close()
    await hands.page.goto(`${address}/faults/new?position=up`)
    await hands.page.locator('label.tile', { hasText: 'Telltale dark' }).first().click()
    await hands.fill('In their words', 'Blue lamp flashing')
    await hands.fill('Who reported it', 'signaller, panel 2')
    await hands.page.locator('label.tile', { hasText: 'Still working' }).first().click()
    await hands.page.getByRole('button', { name: 'Report it' }).click()
    await hands.sees('No earlier fault is on record here')
    const fault = hands.page.url()
    await own.kill()
    own = await open()
    hands = handsOn(await own.page(), address, 'keyboard')
    await hands.page.goto(fault)
    await hands.sees('Blue lamp flashing')
    expect(site.deps.storage.faults.listOpen()).toHaveLength(0)
    server = await listen(site, Number(new URL(address).port))
    await hands.page.reload()
    await expect
      .poll(() => site.deps.storage.faults.listOpen().map(({ id }) => fault.includes(id)))
      .toEqual([true])
    await own.kill()
  })
})
