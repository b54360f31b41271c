import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../../support/browser.ts'
import { loadAxe, offScreen, tooSmall, violations } from '../../support/page-checks.ts'
import { type Harness, startHarness } from '../../views/harness.ts'

const pages = ['check', 'verdict', 'form', 'list', 'record', 'look']
const wrong = { lamp: 'Choose what you saw.', words: 'Say it in a few words.' }

const ground = 'getComputedStyle(document.documentElement).backgroundColor'

describe.skipIf(noBrowser())('the looks', () => {
  let page: Page
  let harness: Harness

  beforeAll(async () => {
    page = await (await sharedBrowser()).newPage()
    harness = await startHarness()
  })
  afterAll(async () => {
    await closeContexts()
    await harness.close()
  })

  async function on<T>(size: [number, number], name: string, look: (page: Page) => Promise<T>): Promise<T> {
    await page.setViewportSize({ width: size[0], height: size[1] })
    await page.goto(`${harness.address}/${name}`)
    await page.waitForSelector('[data-covered]', { state: 'detached' })
    return look(page)
  }

  describe.each(['day', 'night'] as const)('by %s', look => {
    it.each(pages)('hold WCAG 2.2 AA, and 7:1 for all text, on the %s page', async name => {
      harness.frame = name === 'form' ? { look, errors: wrong } : { look }
      const found = await on([820, 1180], name, async page => {
        await loadAxe(page)
        return page.evaluate<string[]>(violations)
      })
      expect(found).toEqual([])
    })
  })

  it.each(pages)(
    'run nowhere off a 320 px screen, nor off a phone with text twice its size, on the %s page',
    async name => {
      harness.frame = name === 'form' ? { look: 'day', errors: wrong } : { look: 'day' }
      for (const [width, height, text] of [
        [320, 640, '100%'],
        [390, 844, '200%'],
        [844, 390, '100%'],
        [820, 1180, '200%'],
      ] as const) {
        const over = await on([width, height], name, page => page.evaluate<string[]>(offScreen(text)))
        expect(over, `${width} px, ${text}`).toEqual([])
      }
    },
  )

  it.each(pages)('give every control at least 44 px on the %s page', async name => {
    harness.frame = name === 'form' ? { look: 'day', errors: wrong } : { look: 'day' }
    for (const size of [
      [820, 1180],
      [390, 844],
    ] as [number, number][]) {
      const small = await on(size, name, page => page.evaluate<string[]>(tooSmall))
      expect(small, size.join('×')).toEqual([])
    }
  })

  it.each([
    [768, 1024],
    [820, 1180],
    [1024, 768],
    [1180, 820],
  ] as [number, number][])(
    'give the keypad and the main button a gloved thumb’s size on a tablet of %i by %i',
    async (width, height) => {
      harness.frame = { look: 'day' }
      const boxes = await on([width, height], 'check', page =>
        page.$$eval('.key, .answer .actions .button', all =>
          all.map(one => one.getBoundingClientRect()).map(box => [box.width, box.height]),
        ),
      )
      expect(boxes).toHaveLength(18)
      for (const box of boxes.slice(0, 16)) expect(Math.min(...box)).toBeGreaterThanOrEqual(104)
      for (const box of boxes.slice(16)) expect(Math.max(...box)).toBeGreaterThanOrEqual(104)
    },
  )

  it('shows a whole check, answer and way on, on one upright tablet screen', async () => {
    harness.frame = { look: 'day' }
    const bottom = await on([820, 1180], 'check', page =>
      page.$$eval('.key, .answer .button', all =>
        Math.max(...all.map(one => one.getBoundingClientRect().bottom)),
      ),
    )
    expect(bottom).toBeLessThanOrEqual(1180)
  })

  it('paints the night dark before anything else is drawn, in the head itself', async () => {
    harness.frame = { look: 'night' }
    const seen = await on([820, 1180], 'check', async page => ({
      scheme: await page.getAttribute('meta[name=color-scheme]', 'content'),
      theme: await page.getAttribute('meta[name=theme-color]', 'content'),
      ground: await page.evaluate(ground),
    }))
    expect(seen).toEqual({ scheme: 'dark', theme: '#0c0a08', ground: 'rgb(12, 10, 8)' })
  })

  it('follow the tablet when told to', async () => {
    harness.frame = { look: 'auto' }
    const seen = await on([820, 1180], 'check', async page => {
      await page.emulateMedia({ colorScheme: 'dark' })
      return page.evaluate(ground)
    })
    await page.emulateMedia({ colorScheme: null })
    expect(seen).toBe('rgb(12, 10, 8)')
  })
})
