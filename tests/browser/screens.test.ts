// The main pages beside approved ones. What a page says and in which order is compared word for word; how it looks as a
// small picture, with a tolerance. The letters are the tests' own, as other fonts would move every line. To approve: UPDATE_SCREENS=1 npx vitest run tests/browser/screens.test.ts, look
// at the changed pictures in tests/browser/approved, and commit them with the change that made them.

import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import path from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { drawnFaces } from '../support/fonts.ts'
import type { Who } from './every-page.ts'
import { type WalkedSite, walkedSite } from './walked-site.ts'

const folder = path.join(import.meta.dirname, 'approved')
const approving = process.env.UPDATE_SCREENS === '1'
const windows = {
  'tablet-day': { viewport: { width: 820, height: 1180 } },
  'phone-night': { viewport: { width: 390, height: 844 } },
}
const pages = [
  'faults-new',
  'faults-checks-fault-tree-check-measure',
  'faults-checks-fault-tree-check-found',
  'faults-cause-fault',
  'faults-put-back-fault',
  'faults-proof-fault',
  'faults-closure-fault',
  'faults-status-fault-apart',
  'faults-record-fault-closed',
]
/** A picture is this many times smaller than the window. */
const smaller = 5
/** Shares of full black-to-white: of the whole picture, and of its worst patch of 8 by 8 points. */
const tolerance = { whole: 0.02, patch: 0.3 }

describe.skipIf(noBrowser())('the main pages, beside approved ones', () => {
  let browser: Browser
  let site: WalkedSite
  let blank: Page
  const opened = new Map<string, Page>()
  beforeAll(async () => {
    browser = await sharedBrowser()
    blank = await browser.newPage()
    site = await walkedSite()
    mkdirSync(folder, { recursive: true })
  })
  afterAll(closeContexts)

  describe.each(pages)('%s', name => {
    it('is drawn with the tests’ own letters', async () => {
      const page = await openPage(name, 'tablet-day')
      const faces = await facesOf(page)
      expect(faces).toEqual(expect.arrayContaining(['DejaVu Serif Condensed', 'DejaVu Sans Condensed']))
      expect(faces.filter(face => !drawnFaces.includes(face))).toEqual([])
    })

    it('says the same', async () => {
      const page = await openPage(name, 'tablet-day')
      const said = (await page.locator('main').ariaSnapshot())
        .replace(/[0-9a-f]{8}-[0-9a-f-]{27}/g, 'ID')
        .replace(/[0-9a-f]{64}/g, 'HASH')
        .replace(/\b[0-9a-f]{16}\b/g, 'HEAD')
        .replace(/edition [0-9a-f]{8}/g, 'edition EDITION')
      const file = path.join(folder, `${name}.txt`)
      if (approving) writeFileSync(file, `${said}\n`)
      expect(`${said}\n`).toBe(readFileSync(file, 'utf8'))
    })

    it.each(Object.keys(windows))('looks the same, %s', async window => {
      const page = await openPage(name, window)
      const seen = await small(page)
      const file = path.join(folder, `${window}-${name}.png`)
      if (approving) writeFileSync(file, Buffer.from(seen.slice(seen.indexOf(',') + 1), 'base64'))
      const found = await difference(`data:image/png;base64,${readFileSync(file, 'base64')}`, seen)
      expect(found.whole, 'of the whole picture').toBeLessThanOrEqual(tolerance.whole)
      expect(found.patch, 'of the worst patch').toBeLessThanOrEqual(tolerance.patch)
    })
  })

  /** The page in its window; each kind of window is opened once for each person, and turned to page after page. */
  async function openPage(name: string, window: string): Promise<Page> {
    const { who, address } = site.named(name)
    const page = opened.get(`${who} ${window}`) ?? (await newWindow(who, window))
    opened.set(`${who} ${window}`, page)
    const url = `${site.address}${address}`
    if (page.url() !== url) await page.goto(url, { waitUntil: 'networkidle' })
    return page
  }

  async function newWindow(who: Who, window: string): Promise<Page> {
    const look = window.split('-')[1] ?? 'day'
    const context = await site.window(browser, who, look, windows[window as keyof typeof windows])
    return context.newPage()
  }

  /** The window as a small picture, made small by the browser. */
  async function small(page: Page): Promise<string> {
    const picture = (await page.screenshot()).toString('base64')
    return blank.evaluate(
      async ([data, smaller]) => {
        const image = Object.assign(new Image(), { src: `data:image/png;base64,${data}` })
        await image.decode()
        const canvas = document.createElement('canvas')
        canvas.width = image.width / smaller
        canvas.height = image.height / smaller
        const context = canvas.getContext('2d')
        if (context) context.imageSmoothingQuality = 'high'
        context?.drawImage(image, 0, 0, canvas.width, canvas.height)
        return canvas.toDataURL('image/png')
      },
      [picture, smaller] as const,
    )
  }

  function difference(approved: string, seen: string): Promise<{ whole: number; patch: number }> {
    return blank.evaluate(compare, [approved, seen] as const)
  }
})

/** The faces that all text of the page is really drawn with, as the browser found them. */
async function facesOf(page: Page): Promise<string[]> {
  const session = await page.context().newCDPSession(page)
  await session.send('DOM.enable')
  await session.send('CSS.enable')
  const { root } = await session.send('DOM.getDocument')
  const all = await session.send('DOM.querySelectorAll', { nodeId: root.nodeId, selector: 'body *' })
  const found = all.nodeIds.map(nodeId => session.send('CSS.getPlatformFontsForNode', { nodeId }))
  return [...new Set((await Promise.all(found)).flatMap(({ fonts }) => fonts.map(one => one.familyName)))]
}

/** Runs in the browser: mean difference of two pictures, and the mean of the patch that differs most, 0 to 1. */
async function compare([a, b]: readonly [string, string]): Promise<{ whole: number; patch: number }> {
  const load = async (src: string) => {
    const image = Object.assign(new Image(), { src })
    await image.decode()
    const canvas = document.createElement('canvas')
    canvas.width = image.width
    canvas.height = image.height
    const context = canvas.getContext('2d')
    context?.drawImage(image, 0, 0)
    return context?.getImageData(0, 0, image.width, image.height)
  }
  const [one, other] = [await load(a), await load(b)]
  if (!one || !other || one.width !== other.width || one.height !== other.height)
    return { whole: 1, patch: 1 }
  const patches = new Map<number, [number, number]>()
  let sum = 0
  for (let at = 0; at < one.data.length; at += 4) {
    const n = at / 4
    const patch = Math.floor(n / one.width / 8) * one.width + Math.floor((n % one.width) / 8)
    const [had, count] = patches.get(patch) ?? [0, 0]
    const differs = [0, 1, 2].reduce(
      (all, k) => all + Math.abs((one.data[at + k] ?? 0) - (other.data[at + k] ?? 0)),
      0,
    )
    sum += differs
    patches.set(patch, [had + differs, count + 1])
  }
  const worst = Math.max(...[...patches.values()].map(([differs, count]) => differs / count))
  return { whole: sum / (one.data.length / 4) / 765, patch: worst / 765 }
}
