import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { contrasts, loadAxe, offScreen, smallKeys, tooSmall, violations } from '../support/page-checks.ts'
import { makeSite, people, pin, token } from '../support/site.ts'
import type { EveryPage, MetPage, Who } from './every-page.ts'
import { type WalkedSite, walkedSite } from './walked-site.ts'

const tablet = { width: 820, height: 1180 }
/** Width, height, size of the text: the narrowest phone, a phone with large text either way round, a tablet. */
const windows = [
  [320, 640, '100%'],
  [390, 844, '200%'],
  [844, 390, '100%'],
  [1180, 820, '100%'],
  [820, 1180, '200%'],
] as const
const tablets = [
  [768, 1024],
  [820, 1180],
  [1024, 768],
  [1180, 820],
] as const

describe.skipIf(noBrowser())('every page of the site map', () => {
  let browser: Browser
  let walked: WalkedSite
  let all: EveryPage
  let empty: Awaited<ReturnType<typeof listen>>

  beforeAll(async () => {
    browser = await sharedBrowser()
    walked = await walkedSite()
    all = walked.all
    empty = await listen(await makeSite({ empty: true }))
  })
  afterAll(async () => {
    await closeContexts()
    await empty.close()
  })

  it('is known here, with what its address names', () => {
    expect(all.unknown, 'say in tests/browser/every-page.ts what these name').toEqual([])
  })

  it.each([null, 'wren', 'moss', 'isla', 'odo', 'rue'] as Who[])(
    'answers, holds WCAG 2.2 AA and 7:1 for text in both looks, fits every window, gives targets 44 px: to %s',
    async who => {
      const wrong: string[] = []
      const page = await pageOf(who)
      for (const one of all.pages.filter(page => page.who === who)) wrong.push(...(await lookAt(page, one)))
      expect(wrong).toEqual([])
    },
    600_000,
  )

  it('is seen by somebody above', () => {
    const seen: Who[] = [null, 'wren', 'moss', 'isla', 'odo', 'rue']
    expect(all.pages.filter(page => !seen.includes(page.who))).toEqual([])
  })

  it('holds all that on a database without people too', async () => {
    const page = await browser.newPage({ viewport: tablet, reducedMotion: 'reduce' })
    await page.goto(`${empty.address}/setup`)
    expect(await faultsOf(page)).toEqual([])
  })

  async function lookAt(page: Page, { name, address }: MetPage): Promise<string[]> {
    try {
      const answer = await page.goto(`${walked.address}${address}`)
      const type = answer?.headers()['content-type'] ?? ''
      if (!type.includes('text/html')) return []
      const expected = name === 'nothing-here' ? 404 : 200
      const status = answer?.status() ?? 0
      const found = status === expected ? await faultsOf(page) : [`answers ${status}`]
      return found.map(words => `${name}: ${words}`)
    } catch (error) {
      // What is offered as a file is no page.
      if (String(error).includes('Download is starting')) return []
      throw error
    }
  }

  /** Somebody signed in on the depot's tablet. */
  async function pageOf(who: Who): Promise<Page> {
    const context = await browser.newContext({ viewport: tablet, hasTouch: true, reducedMotion: 'reduce' })
    const url = walked.address
    const look = { name: 'look', value: 'day', url }
    await context.addCookies([look, { name: 'tablet', value: encodeURIComponent(token), url }])
    if (who) {
      const form = { name: people[who].name, pin }
      await context.request.post(`${url}/sign-in`, { form, headers: { 'Sec-Fetch-Site': 'same-origin' } })
    }
    return context.newPage()
  }
})

async function faultsOf(page: Page): Promise<string[]> {
  const faults: string[] = []
  const hold = async (where: string, check: string) =>
    faults.push(...(await page.evaluate<string[]>(check)).map(words => `${where}: ${words}`))
  await loadAxe(page)
  await hold('day', violations)
  await page.evaluate("document.documentElement.dataset.look = 'night'")
  await hold('night', contrasts)
  await hold('tablet', tooSmall)
  for (const [width, height, text] of windows) {
    await page.setViewportSize({ width, height })
    await hold(`${width}×${height}, text ${text}`, offScreen(text))
  }
  await page.evaluate("document.documentElement.style.fontSize = ''")
  await page.setViewportSize({ width: 390, height: 844 })
  await hold('phone', tooSmall)
  // Most pages have no keypad, and none gets one by being turned.
  for (const [width, height] of (await page.locator('.keypad').count()) ? tablets : []) {
    await page.setViewportSize({ width, height })
    await hold(`keys on ${width}×${height}`, smallKeys)
  }
  await page.setViewportSize(tablet)
  return faults
}
