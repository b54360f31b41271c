import type { Page } from 'playwright-core'
import { people, pin, token } from '../support/site.ts'

/** What a technician does with the pages, by what they read on them. */
export interface Hands {
  page: Page
  signIn(who: keyof typeof people): Promise<void>
  tile(words: string): Promise<void>
  tap(words: string): Promise<void>
  fill(label: string, text: string): Promise<void>
  sees(words: string): Promise<void>
  /** Types a reading: on the keypad where there is one, else into the plain field. */
  reading(text: string): Promise<void>
}

export function handsOn(page: Page, address: string): Hands {
  const hands: Hands = {
    page,
    async signIn(who) {
      // The depot's own tablet, as an engineer's enrolling leaves it.
      await page.context().addCookies([{ name: 'tablet', value: encodeURIComponent(token), url: address }])
      await page.goto(`${address}/sign-in`)
      await page.getByLabel('Name').selectOption(people[who].name)
      await page.getByLabel('PIN').fill(pin)
      await hands.tap('Sign in')
    },
    tile: words => page.locator('label.tile', { hasText: words }).first().click(),
    async tap(words) {
      const before = page.url()
      const target = page
        .locator('main')
        .getByRole('button', { name: words })
        .or(page.locator('main').getByRole('link', { name: words }))
      await target.first().click()
      await page.waitForFunction(was => location.href !== was || document.readyState === 'complete', before)
      await page.waitForLoadState()
    },
    fill: (label, text) => page.getByLabel(label).fill(text),
    sees: words => page.locator('body', { hasText: words }).waitFor({ timeout: 15_000 }),
    async reading(text) {
      const keypad = page.locator('.keypad')
      if (!(await keypad.isVisible())) return page.locator('.reading-input').fill(text)
      for (const one of text) await keypad.locator(`[data-key="${one}"]`).click()
    },
  }
  return hands
}
