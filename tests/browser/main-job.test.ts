import type { Browser, BrowserContextOptions, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { makeSite } from '../support/site.ts'
import { handsOn, type Way } from './hands.ts'
import { doMainJob } from './main-job.ts'

describe.skipIf(noBrowser())('the main job in a real browser', () => {
  let browser: Browser
  beforeAll(async () => {
    browser = await sharedBrowser()
  })
  afterAll(closeContexts)

  const tablet = { viewport: { width: 820, height: 1180 }, hasTouch: true }
  const ways: [string, Way, string, BrowserContextOptions][] = [
    ['by touch on a tablet, in the day look', 'touch', 'day', tablet],
    [
      'by touch on a phone, in the night look',
      'touch',
      'night',
      { ...tablet, viewport: { width: 390, height: 844 } },
    ],
    ['by the keyboard alone', 'keyboard', 'auto', { viewport: { width: 1180, height: 820 } }],
    ['with scripts off', 'touch', 'auto', { ...tablet, javaScriptEnabled: false }],
  ]

  it.each(ways)('goes from the report to the signed record %s', async (_words, way, look, options) => {
    const site = await makeSite()
    const server = await listen(site)
    const context = await browser.newContext(options)
    await context.addCookies([{ name: 'look', value: look, url: server.address }])
    const page = await context.newPage()
    const troubles = troublesOf(page)
    await doMainJob(handsOn(page, server.address, way))
    await page.goto(`${server.address}/positions/up`)
    expect(await page.locator('main').textContent()).toContain('Loop broken')
    expect(troubles).toEqual([])
    await context.close()
    await server.close()
  })
})

/** What the browser itself finds wrong: errors of the script, refused content, failed requests. */
function troublesOf(page: Page): string[] {
  const troubles: string[] = []
  page.on('pageerror', error => troubles.push(error.message))
  page.on('console', message => message.type() === 'error' && troubles.push(message.text()))
  page.on('response', answer => answer.status() >= 400 && troubles.push(`${answer.status()} ${answer.url()}`))
  return troubles
}
