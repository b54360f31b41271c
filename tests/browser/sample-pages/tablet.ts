import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, expect } from 'vitest'
import { closeContexts, sharedBrowser } from '../../support/browser.ts'
import { keptOnTablet } from '../../support/kept.ts'
import { type Harness, startHarness } from '../../views/harness.ts'

/** A tablet with the sample pages, new for each test, and what one does and reads on it. */
export interface Tablet {
  browser: Browser
  harness: Harness
  page: Page
  open(name: string): Promise<unknown>
  press(...keys: string[]): Promise<void>
  record(): Promise<void>
  /** Waits until the reading is so, as a key is answered a moment after it was let go. */
  reads(text: string): Promise<void>
  state(fact: 'saved' | 'sent' | 'waiting' | 'trouble'): Promise<string | null>
  /** Waits until the line of the state holds the words. */
  says(fact: 'saved' | 'sent' | 'waiting' | 'trouble', words: string | RegExp): Promise<void>
  saved(): Promise<void>
  oneWaits(): Promise<void>
}

/** Call inside `describe`: opens one browser for all its tests. */
export function useTablet(): Tablet {
  const tablet = {} as Tablet
  let context: BrowserContext
  beforeAll(async () => {
    tablet.browser = await sharedBrowser()
  })
  afterAll(closeContexts)
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
  const says: Tablet['says'] = (fact, words) => expect.poll(() => state(fact)).toMatch(words)
  return {
    open: (name: string) => tablet.page.goto(`${tablet.harness.address}/${name}`),
    async press(...keys: string[]) {
      for (const key of keys) await tablet.page.tap(`[data-key="${key}"]`)
    },
    record: () => tablet.page.tap('text=Record reading'),
    reads: (text: string) => expect.poll(() => tablet.page.inputValue('#reading')).toBe(text),
    state,
    says,
    async saved() {
      await says('saved', /\d\d:\d\d/)
      await keptOnTablet(tablet.page)
    },
    oneWaits: () => says('waiting', '1, since'),
  }
}
