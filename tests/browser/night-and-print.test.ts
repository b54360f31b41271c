import { createServer, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { type WalkedSite, walkedSite } from './walked-site.ts'

const tablet = { viewport: { width: 820, height: 1180 } }

describe.skipIf(noBrowser())('the pages as they are lit and printed', () => {
  let browser: Browser
  let site: WalkedSite
  beforeAll(async () => {
    browser = await sharedBrowser()
    site = await walkedSite()
  })
  afterAll(closeContexts)

  it('shows no bright picture between two pages at night', async () => {
    const page = await (await site.window(browser, 'wren', 'night', tablet)).newPage()
    await page.goto(`${site.address}/faults`)
    const session = await page.context().newCDPSession(page)
    const frames: string[] = []
    session.on('Page.screencastFrame', ({ data, sessionId }) => {
      frames.push(data)
      session.send('Page.screencastFrameAck', { sessionId }).catch(() => {})
    })
    await session.send('Page.startScreencast', {
      format: 'png',
      maxWidth: 82,
      maxHeight: 118,
      everyNthFrame: 1,
    })
    // Slow enough that whatever is shown before the page has come is seen.
    await page.route('**/*', async route => {
      await new Promise(done => setTimeout(done, 60))
      await route.continue()
    })
    for (const name of ['measure', 'found', 'observe', 'no-limit', 'measure']) {
      const before = frames.length
      await page.goto(`${site.address}${site.named(`faults-checks-fault-tree-check-${name}`).address}`)
      await expect.poll(() => frames.length, { message: `pictures of ${name}` }).toBeGreaterThan(before)
    }
    await session.send('Page.stopScreencast')
    const lights = await brightness(browser, frames)
    expect(lights.length).toBeGreaterThan(2)
    expect(Math.max(...lights)).toBeLessThan(0.25)
  })

  it.each(['measure', 'observe', 'found', 'no-limit'])(
    'lets nothing move once it is shown: check, %s',
    async state => {
      const page = await (await site.window(browser, 'wren', 'day', tablet)).newPage()
      await watchMoves(page)
      await page.goto(`${site.address}${site.named(`faults-checks-fault-tree-check-${state}`).address}`)
      await page.waitForLoadState('networkidle')
      await page.waitForTimeout(300)
      expect(await moves(page)).toEqual([])
      await page.context().close()
    },
  )

  it.each([0.3, 0.4, 0.5, 0.65, 0.85])(
    'lets nothing move when a check comes in two pieces, the first being %d of it',
    async part => {
      const context = await site.window(browser, 'wren', 'day', tablet)
      const slow = await inTwoPieces(site.address, await context.cookies(), part)
      const page = await context.newPage()
      await watchMoves(page)
      await page.goto(`${slow.address}${site.named('faults-checks-fault-tree-check-found').address}`)
      await page.waitForLoadState('networkidle')
      expect(await moves(page)).toEqual([])
      await context.close()
      slow.close()
    },
  )

  it.each([
    ['faults-record-fault-closed', 2],
    ['faults-record-fault-open', 2],
    ['faults-status-fault-apart', 1],
    ['faults-card-fault', 1],
  ] as const)('prints %s on %i pages of A4 at most, dark on white even at night', async (name, most) => {
    const page = await (await site.window(browser, 'wren', 'night', tablet)).newPage()
    await page.goto(`${site.address}${site.named(name).address}`)
    expect(pagesOf(await page.pdf({ preferCSSPageSize: true }))).toBeLessThanOrEqual(most)
    await page.emulateMedia({ media: 'print' })
    expect(await page.evaluate('getComputedStyle(document.documentElement).backgroundColor')).toBe(
      'rgb(255, 255, 255)',
    )
    expect(await visible(page, 'nav, .actions, .state, .keypad')).toBe(0)
    await page.context().close()
  })
})

/** Remembers in the page what moved after it was first shown. */
async function watchMoves(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const moved: string[] = []
    Object.assign(window, { moved })
    new PerformanceObserver(list => {
      for (const entry of list.getEntries() as unknown as { value: number; sources: { node?: Element }[] }[])
        moved.push(
          `${entry.value}: ${entry.sources.map(one => one.node?.outerHTML?.slice(0, 60)).join(', ')}`,
        )
    }).observe({ type: 'layout-shift', buffered: true })
  })
}

function moves(page: Page): Promise<string[]> {
  return page.evaluate(() => (window as unknown as { moved: string[] }).moved)
}

/** The site behind a slow line: each page's first part comes a quarter of a second before the rest. */
async function inTwoPieces(site: string, cookies: { name: string; value: string }[], part: number) {
  const cookie = cookies.map(({ name, value }) => `${name}=${value}`).join('; ')
  const server = createServer((request, response) => {
    answerSlowly(request.url ?? '', response).catch(() => response.destroy())
  })
  const answerSlowly = async (url: string, response: ServerResponse) => {
    const answer = await fetch(`${site}${url}`, { headers: { cookie } })
    const body = Buffer.from(await answer.arrayBuffer())
    const type = answer.headers.get('content-type') ?? ''
    const cut = type.includes('html') ? Math.round(body.length * part) : body.length
    response.writeHead(answer.status, { 'content-type': type })
    response.write(body.subarray(0, cut))
    setTimeout(() => response.end(body.subarray(cut)), cut < body.length ? 250 : 0)
  }
  await new Promise<void>(ready => server.listen(0, '127.0.0.1', ready))
  const { port } = server.address() as AddressInfo
  const close = () => {
    server.close()
    server.closeAllConnections()
  }
  return { address: `http://127.0.0.1:${port}`, close }
}

/** Page objects of a PDF; each has its own /Type /Page. */
function pagesOf(pdf: Buffer): number {
  return [...pdf.toString('latin1').matchAll(/\/Type\s*\/Page\b/g)].length
}

function visible(page: Page, selector: string): Promise<number> {
  return page.$$eval(selector, all => all.filter(one => one.checkVisibility()).length)
}

/** Mean light of each picture, 0 black to 1 white. */
async function brightness(browser: Browser, pictures: string[]): Promise<number[]> {
  const page = await (await browser.newContext()).newPage()
  const lights = await page.evaluate(async all => {
    const found: number[] = []
    for (const data of all) {
      const image = Object.assign(new Image(), { src: `data:image/png;base64,${data}` })
      await image.decode()
      const canvas = document.createElement('canvas')
      canvas.width = image.width
      canvas.height = image.height
      const context = canvas.getContext('2d')
      context?.drawImage(image, 0, 0)
      const points = context?.getImageData(0, 0, image.width, image.height).data ?? new Uint8ClampedArray()
      let sum = 0
      for (let at = 0; at < points.length; at += 4)
        sum += (points[at] ?? 0) + (points[at + 1] ?? 0) + (points[at + 2] ?? 0)
      found.push(sum / (points.length / 4) / 765)
    }
    return found
  }, pictures)
  await page.context().close()
  return lights
}
