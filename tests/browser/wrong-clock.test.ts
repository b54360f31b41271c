import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { makeSite, type Site } from '../support/site.ts'
import { handsOn } from './hands.ts'

describe.skipIf(noBrowser())('a tablet whose clock is wrong', () => {
  let browser: Browser
  let site: Site
  let server: Awaited<ReturnType<typeof listen>>
  beforeAll(async () => {
    browser = await sharedBrowser()
    site = await makeSite()
    server = await listen(site)
  })
  afterAll(async () => {
    await closeContexts()
    await server.close()
  })

  /** What is said beside a typed time on a tablet that is so many minutes ahead; '' when nothing is shown. */
  async function saidAt(minutesAhead: number): Promise<string> {
    const context = await browser.newContext({ viewport: { width: 820, height: 1180 }, hasTouch: true })
    const page = await context.newPage()
    const hands = handsOn(page, server.address)
    await hands.signIn('wren')
    await page.addInitScript(
      now => {
        const began = performance.now()
        Date.now = () => now + performance.now() - began
      },
      site.deps.clock().getTime() + minutesAhead * 60_000,
    )
    await page.goto(`${server.address}/faults/new?position=up`)
    const line = page.locator('#reportedAt-clock')
    const said = (await line.isVisible()) ? await line.textContent() : ''
    expect(await page.getAttribute('#reportedAt', 'aria-describedby')).toContain('reportedAt-clock')
    await context.close()
    return said?.trim() ?? ''
  }

  it.each([
    [14, 'This tablet’s clock is 14 min fast. Do not go by it: this page came at 01:00.'],
    [-3, 'This tablet’s clock is 3 min slow. Do not go by it: this page came at 01:00.'],
    [-60 * 5, 'This tablet’s clock is 5 hours slow. Do not go by it: this page came at 01:00.'],
    [60 * 24 * 40, 'This tablet’s clock is 40 days fast. Do not go by it: this page came at 01:00.'],
  ])('by %i minutes is said where a time is typed, with the server’s', async (minutes, words) => {
    expect(await saidAt(minutes)).toBe(words)
  })

  it.each([0, 1.5, -1.5])('by %d minutes is not worth a word', async minutes => {
    expect(await saidAt(minutes)).toBe('')
  })
})
