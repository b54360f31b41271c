import type { Browser, BrowserContext, BrowserContextOptions } from 'playwright-core'
import { listen } from '../support/listening.ts'
import { people, pin, token } from '../support/site.ts'
import { type EveryPage, everyPage, type MetPage, type Who } from './every-page.ts'

/** The site with every page met, listened on. */
export interface WalkedSite {
  all: EveryPage
  address: string
  /** The page by its name in every-page.ts. */
  named(name: string): MetPage
  /** A window of somebody signed in on the depot's tablet, in the given look. */
  window(browser: Browser, who: Who, look: string, options?: BrowserContextOptions): Promise<BrowserContext>
  /** Sets the site's clock to when it was walked: pages say how late it is, whatever was looked at before. */
  turnBack(): void
}

let walked: Promise<WalkedSite> | null = null

/** The site of all test files of a worker, which only look at it; its clock stands where it stood when it was walked. */
export async function walkedSite(): Promise<WalkedSite> {
  walked ??= walk()
  const site = await walked
  site.turnBack()
  return site
}

async function walk(): Promise<WalkedSite> {
  const all = await everyPage()
  const { address } = await listen(all.site)
  const walkedAt = all.site.deps.clock().getTime()
  return {
    all,
    address,
    named(name) {
      const found = all.pages.find(page => page.name === name)
      if (!found) throw new Error(`There is no page ${name} among ${all.pages.map(page => page.name)}.`)
      return found
    },
    async window(browser, who, look, options = {}) {
      const context = await browser.newContext({ hasTouch: true, reducedMotion: 'reduce', ...options })
      await context.addCookies([
        { name: 'look', value: look, url: address },
        { name: 'tablet', value: encodeURIComponent(token), url: address },
      ])
      // A tablet whose clock is right: the site has a time of its own.
      await context.addInitScript(now => {
        const began = performance.now()
        Date.now = () => now + performance.now() - began
      }, all.site.deps.clock().getTime())
      if (who) {
        const form = { name: people[who].name, pin }
        await context.request.post(`${address}/sign-in`, {
          form,
          headers: { 'Sec-Fetch-Site': 'same-origin' },
        })
      }
      return context
    },
    turnBack() {
      all.site.pass((walkedAt - all.site.deps.clock().getTime()) / 60_000)
    },
  }
}
