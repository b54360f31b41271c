// What a page weighs on the way to the tablet and how fast it answers a tap: in the real browser, from the real
// program with the demo railway and the real fault trees.

import { copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import path from 'node:path'
import type { Browser, BrowserContext, CDPSession, Page } from 'playwright-core'
import { demoPeople } from '../../server/demo/railway/people.ts'
import { serveDemo } from '../../server/demo/serve.ts'
import type { Running } from '../../server/start.ts'
import { openBrowser } from '../support/browser.ts'
import type { Bench } from './run.ts'
import { once, runFolder } from './shared.ts'

const tablet = { viewport: { width: 820, height: 1180 }, hasTouch: true }
const taps = 25
const rounds = 3
/** A tablet of some years is about this much slower than a desk's machine. */
const slower = 4

export const benches: Bench[] = [
  {
    ...{ name: 'first-view-kb', unit: 'kB', goal: { at: 'most', value: 14 } },
    run: () => withCheckPage(async ({ cold }) => kilobytes(await cold(), ['Document', 'Stylesheet'])),
  },
  {
    ...{ name: 'later-view-kb', unit: 'kB', goal: { at: 'most', value: 8 } },
    run: () => withCheckPage(async ({ warm }) => Math.max(...(await warm()).map(page => kilobytes(page)))),
  },
  {
    ...{ name: 'scripts-kb', unit: 'kB', goal: { at: 'most', value: 12 } },
    run: () => withCheckPage(async ({ cold }) => kilobytes(await cold(), ['Script'])),
  },
  {
    ...{ name: 'tap-ms', unit: 'ms', goal: { at: 'most', value: 100 } },
    run: () => withCheckPage(async ({ page }) => slowestTap(page)),
  },
]

/** What came over the wire, headers included. */
interface Loaded {
  type: string
  bytes: number
}

interface CheckPage {
  page: Page
  /** Loads the check page in a browser that has never been here. */
  cold(): Promise<Loaded[]>
  /** Loads the pages of a walk in turn, sheets and script kept from before. */
  warm(): Promise<Loaded[][]>
}

async function withCheckPage<T>(measure: (there: CheckPage) => Promise<T>): Promise<T> {
  const dir = mkdtempSync(path.join(runFolder(), 'demo-'))
  copyFileSync(await demoFile(), path.join(dir, 'demo.db'))
  const running = await serveDemo(dir, quiet)
  const browser = await openBrowser()
  try {
    const context = await browser.newContext(tablet)
    const page = await context.newPage()
    await comeToCheck(running, page)
    const cold = () => loadCold(browser, context, page.url())
    return await measure({ page, cold, warm: () => walkOn(page) })
  } finally {
    await browser.close()
    await running.close()
    rmSync(dir, { recursive: true })
  }
}

const quiet = { PORT: '0', LOG_LEVEL: 'silent' }

/** The demo's database as each figure finds it, made once. */
export const demoFile = once(async (): Promise<string> => {
  const dir = mkdtempSync(path.join(runFolder(), 'demo-'))
  await (await serveDemo(dir, quiet)).close()
  return path.join(dir, 'demo.db')
})

/** Reports a fault, attends, and stands at its first check. */
async function comeToCheck({ address, deps }: Running, page: Page): Promise<void> {
  const someone = demoPeople.find(one => one.role === 'technician')
  await page.goto(`${address}/sign-in`)
  await page.getByLabel('Name').selectOption(someone?.name ?? '')
  await page.getByLabel('PIN').fill(someone?.pin ?? '')
  await page.locator('main').getByRole('button', { name: 'Sign in' }).click()
  await page.waitForURL(/faults/)
  const [position] = deps.storage.positions.search('Overspeed', 1)
  await page.goto(`${address}/faults/new?position=${position?.id}`)
  await page.locator('label.tile', { hasText: 'Output telltale dark' }).first().click()
  await page.getByLabel('In their words').fill('Failure lamp flashing.')
  await page.getByLabel('Who reported it').fill('signaller')
  await page.locator('label.tile', { hasText: 'Still working' }).first().click()
  await page.getByRole('button', { name: 'Report it' }).click()
  await page.getByRole('link', { name: 'Attend' }).click()
  await page.locator('label.tile', { hasText: 'Seen' }).click()
  await page.getByLabel('Who did you speak to').fill('signaller')
  await page.locator('label.tile', { hasText: 'line blocked' }).click()
  await page.locator('label.tile', { hasText: 'nothing isolated' }).click()
  await page.getByLabel('Code on the plate').fill(position?.plate ?? '')
  await page.getByRole('button', { name: 'Start' }).click()
  await page.waitForURL(/checks/)
}

async function loadCold(browser: Browser, known: BrowserContext, address: string): Promise<Loaded[]> {
  const context = await browser.newContext({ ...tablet, storageState: await known.storageState() })
  const page = await context.newPage()
  const loaded = await listening(page, () => page.goto(address, { waitUntil: 'networkidle' }))
  await context.close()
  return loaded
}

/** The check's form, what was found, the next check, how it stands, what to put back. */
async function walkOn(page: Page): Promise<Loaded[][]> {
  const check = page.url()
  const fault = /.*\/faults\/[^/]+/.exec(check)?.[0] ?? ''
  const form = await listening(page, () => page.goto(check))
  await page.locator('.reading-input').fill('24')
  await page.getByRole('button', { name: 'Record it' }).click()
  await page.getByText('In range').first().waitFor()
  const rest = [check, `${fault}/next`, `${fault}/resume`, `${fault}/status`, `${fault}/put-back`]
  const others: Loaded[][] = []
  for (const address of rest) others.push(await listening(page, () => page.goto(address)))
  return [form, ...others]
}

async function listening(page: Page, load: () => Promise<unknown>): Promise<Loaded[]> {
  const session = await page.context().newCDPSession(page)
  await session.send('Network.enable')
  const types = new Map<string, string>()
  const fromCache = new Set<string>()
  const loaded: Loaded[] = []
  session.on('Network.responseReceived', ({ requestId, type }) => types.set(requestId, type))
  session.on('Network.requestServedFromCache', ({ requestId }) => fromCache.add(requestId))
  session.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    if (!fromCache.has(requestId)) loaded.push({ type: types.get(requestId) ?? '', bytes: encodedDataLength })
  })
  await load()
  await page.waitForLoadState('load')
  await session.detach()
  return loaded
}

function kilobytes(loaded: Loaded[], types?: string[]): number {
  const wanted = loaded.filter(({ type }) => !types || types.includes(type))
  if (wanted.length === 0) throw new Error(`Nothing was loaded: ${JSON.stringify(loaded)}`)
  return wanted.reduce((sum, { bytes }) => sum + bytes, 0) / 1000
}

/** From the finger's touch to the picture that shows its answer, as the browser itself reckons it. */
async function slowestTap(page: Page): Promise<number> {
  const session: CDPSession = await page.context().newCDPSession(page)
  await session.send('Emulation.setCPUThrottlingRate', { rate: slower })
  await page.evaluate(() => {
    const tapsSeen: number[] = []
    Object.assign(window, { tapsSeen })
    new PerformanceObserver(list => {
      for (const entry of list.getEntries())
        if (entry.name === 'click' || entry.name === 'pointerdown') tapsSeen.push(entry.duration)
    }).observe({ type: 'event', buffered: false, durationThreshold: 16 } as PerformanceObserverInit)
  })
  // The best round counts: what else the machine does meanwhile is not the page's doing.
  const slowest: number[] = []
  for (let round = 0; round < rounds; round += 1) slowest.push(await slowestOf(page))
  return Math.min(...slowest)
}

async function slowestOf(page: Page): Promise<number> {
  const keys = ['1', '2', '.', '4', 'backspace', '-', 'OL', 'clear']
  for (let n = 0; n < taps; n += 1) await tapKey(page, keys[n % keys.length] ?? '1')
  await page.waitForTimeout(200)
  const seen = await page.evaluate(() => (window as unknown as { tapsSeen: number[] }).tapsSeen.splice(0))
  // Below 16 ms the browser does not report a tap at all.
  return Math.max(16, ...seen)
}

async function tapKey(page: Page, key: string): Promise<void> {
  const before = await page.locator('.reading-input').inputValue()
  await page.locator(`.keypad [data-key="${key}"]`).tap()
  const after = await page.locator('.reading-input').inputValue()
  if (before === after && key !== 'clear') throw new Error(`Tapping ${key} changed nothing.`)
}
