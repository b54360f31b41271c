import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { effortOf } from './count-taps.ts'

describe.skipIf(noBrowser())('the effort of a fault', () => {
  let browser: Browser
  beforeAll(async () => {
    browser = await sharedBrowser()
  })
  afterAll(closeContexts)

  it('is at most 3 pages and 8 taps to the first reading, and 17 pages to the signature', async () => {
    const effort = await effortOf(browser)
    expect(effort.firstReadingPages).toBeLessThanOrEqual(3)
    expect(effort.firstReadingTaps).toBeLessThanOrEqual(8)
    expect(effort.signedPages).toBeLessThanOrEqual(17)
  })
})
