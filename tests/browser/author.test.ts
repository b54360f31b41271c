import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { createSession } from '../../server/auth/sessions.ts'
import { knowledgeTarget } from '../support/authoring.ts'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { contrasts, loadAxe, offScreen, tooSmall, violations } from '../support/page-checks.ts'
import { makeSite, type Site } from '../support/site.ts'
import { attend, find, report } from '../support/walking.ts'

const desk = { width: 1280, height: 900 }

describe.skipIf(noBrowser())('an author at a desk', () => {
  let browser: Browser
  let site: Site
  let server: Awaited<ReturnType<typeof listen>>
  let known: Record<string, string>

  beforeAll(async () => {
    browser = await sharedBrowser()
    site = await makeSite({ env: { RATE_PER_MINUTE: '0' } })
    server = await listen(site)
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    known = { fault, ...(await knowledgeTarget(site, fault)) }
  })
  afterAll(async () => {
    await closeContexts()
    await server.close()
  })

  async function signedIn(person: 'odo' | 'rue' | 'isla'): Promise<BrowserContext> {
    const context = await browser.newContext({
      viewport: desk,
      reducedMotion: 'reduce',
    })
    const url = server.address
    await context.addCookies([
      { name: 'fourfoot', value: createSession(site.deps, person), url },
      { name: 'look', value: 'day', url },
    ])
    return context
  }

  const pages = [
    ...['/knowledge', '/knowledge/dead', '/knowledge/dead/drawing', '/knowledge/dead/evidence', '/coverage'],
    ...[
      '/drafts/new',
      '/drafts/import',
      '/drafts/draft',
      '/drafts/draft?aside=aside',
      '/drafts/draft/drawing?zoom=100',
    ],
    ...[
      '/drafts/draft/try',
      '/drafts/draft/examples',
      '/drafts/draft/replays',
      '/proposals/new',
      '/proposals/proposal',
    ],
    ...[
      '/editions',
      '/field-reports',
      '/replays/:replay',
      '/editions/:edition/changes',
      '/knowledge/dead/drawing?fault=:fault',
    ],
  ]

  it('meets pages that hold WCAG 2.2 AA by axe-core, in both looks, and fit a desk, a tablet and a phone', async () => {
    const context = await signedIn('odo')
    const page = await context.newPage()
    const wrong: string[] = []
    for (const path of pages) {
      await page.setViewportSize(desk)
      const answer = await page.goto(
        server.address + path.replace(/:(\w+)/g, (_, name: string) => known[name] ?? ''),
      )
      expect([path, answer?.status()]).toEqual([path, 200])
      wrong.push(...(await faultsOf(page)).map(words => `${path} ${words}`))
    }
    expect(wrong).toEqual([])
    await context.close()
  })

  it('sees problems, the drawing and the words that it is kept, while typing; and goes to the line', async () => {
    const troubles: string[] = []
    const context = await signedIn('isla')
    const page = await context.newPage()
    page.on('pageerror', error => troubles.push(error.message))
    await page.goto(`${server.address}/knowledge/dead`)
    await page.click('text=Write a draft')
    await page.waitForURL('**/drafts/draft')
    const text = (await page.inputValue('#text')).replace('- Between: S1 and S2', '- Between: S1 and S9')
    await page.fill('#text', text)
    await page.waitForSelector('text=has no terminal')
    expect(await page.textContent('[data-draft-state]')).toMatch(/^Kept at/)
    expect(site.deps.storage.drafts.get('draft').head.text).toBe(text)
    await page.click('.problem [data-to-line]')
    const chosen = `(area => area.value.slice(area.selectionStart, area.selectionEnd))(document.querySelector('#text'))`
    expect(await page.evaluate(chosen)).toBe('- Between: S1 and S9')
    await page.click('.tree-box >> nth=1')
    expect(await page.evaluate(chosen)).toBe('## Loop resistance')
    await page.fill('#text', text.replace('S9', 'S2'))
    await page.waitForSelector('text=No problems')
    expect(troubles).toEqual([])
    await context.close()
  })

  it('loses nothing to an answer that never comes: the text is in the browser, and goes when it can', async () => {
    const context = await signedIn('isla')
    const page = await context.newPage()
    await page.goto(`${server.address}/drafts/draft`)
    const text = `${await page.inputValue('#text')}\nTyped without a signal.\n`
    await context.setOffline(true)
    await page.fill('#text', text)
    await page.waitForSelector('text=Not kept')
    await context.setOffline(false)
    await page.waitForSelector('text=Kept at')
    expect(site.deps.storage.drafts.get('draft').head.text).toContain('Typed without a signal.')
    await page.fill('#text', `${text}\nTyped, then the page was gone.\n`)
    await page.close()
    const again = await context.newPage()
    await again.goto(`${server.address}/drafts/draft`)
    await expect.poll(() => again.inputValue('#text')).toContain('Typed, then the page was gone.')
    await context.close()
  })

  it('is told of another’s newer text at the next pause, and settles both on one page', async () => {
    const [first, second] = [await signedIn('isla'), await signedIn('odo')]
    const [mine, theirs] = [await first.newPage(), await second.newPage()]
    for (const page of [mine, theirs]) await page.goto(`${server.address}/drafts/draft`)
    const text = await mine.inputValue('#text')
    await theirs.fill('#text', `${text}\nOdo was here.\n`)
    await theirs.waitForSelector('text=Kept at')
    await mine.fill('#text', `${text}\nIsla was here.\n`)
    await mine.click('text=See both and settle it')
    await mine.waitForSelector('text=Odo was here.')
    await mine.fill('#text', `${text}\nBoth were here.\n`)
    await mine.click('text=Keep this one')
    await mine.waitForURL('**/drafts/draft')
    expect(site.deps.storage.drafts.get('draft').head.text).toContain('Both were here.')
    await first.close()
    await second.close()
  })
})

async function faultsOf(page: Page): Promise<string[]> {
  const faults: string[] = []
  const hold = async (where: string, check: string) =>
    faults.push(...(await page.evaluate<string[]>(check)).map(words => `${where}: ${words}`))
  await loadAxe(page)
  await hold('day', violations)
  await page.evaluate("document.documentElement.dataset.look = 'night'")
  await hold('night', contrasts)
  await hold('desk', tooSmall)
  for (const [width, height] of [
    [1280, 900],
    [820, 1180],
    [390, 844],
  ] as const) {
    await page.setViewportSize({ width, height })
    await hold(`${width} px`, offScreen('100%'))
  }
  return faults
}
