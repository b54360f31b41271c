import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, expect } from 'vitest'
import { openBrowser } from '../support/browser.ts'
import { type Harness, startHarness } from './harness.ts'

/** A tablet with the sample pages, new for each test, and what one does and reads on it. */
export interface Tablet {
  browser: Browser
  harness: Harness
  page: Page
  open(name: string): Promise<unknown>
  press(...keys: string[]): Promise<void>
  record(): Promise<void>
  reading(): Promise<string>
  state(fact: 'saved' | 'sent' | 'waiting' | 'trouble'): Promise<string | null>
  saved(): Promise<void>
  oneWaits(): Promise<void>
}

/** Call inside `describe`: opens one browser for all its tests. */
export function useTablet(): Tablet {
  const tablet = {} as Tablet
  let context: BrowserContext
  beforeAll(async () => {
    tablet.browser = await openBrowser()
  })
  afterAll(() => tablet.browser.close())
  beforeEach(async () => {
    tablet.harness = await startHarness()
    context = await tablet.browser.newContext({ viewport: { width: 820, height: 1180 }, hasTouch: true })
    tablet.page = await context.newPage()
  })
  afterEach(async () => {
    await context.close()
    await tablet.harness.close()
  })
  return Object.assign(tablet, hands(tablet))
}

function hands(tablet: Tablet) {
  const state: Tablet['state'] = fact => tablet.page.textContent(`[data-state-${fact}]`)
  return {
    open: (name: string) => tablet.page.goto(`${tablet.harness.address}/${name}`),
    async press(...keys: string[]) {
      for (const key of keys) await tablet.page.tap(`[data-key="${key}"]`)
    },
    record: () => tablet.page.tap('text=Record reading'),
    reading: () => tablet.page.inputValue('#reading'),
    state,
    saved: () => expect.poll(() => state('saved')).toMatch(/\d\d:\d\d/),
    oneWaits: () => expect.poll(() => state('waiting')).toContain('1, since'),
  }
}
