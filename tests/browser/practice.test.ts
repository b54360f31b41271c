import path from 'node:path'
import type { Browser, BrowserContextOptions, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { createRandom } from '../../server/statistics/random.ts'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { makeSite } from '../support/site.ts'
import { handsOn } from './hands.ts'
import { makeCheck, mendAndClose, next, press, readPlate } from './practising.ts'

const knowledgeDir = path.join(import.meta.dirname, '../../knowledge')
const tablet = { viewport: { width: 820, height: 1180 }, hasTouch: true }
const phone = { viewport: { width: 390, height: 844 }, hasTouch: true }

describe.skipIf(noBrowser())('practice in a real browser', () => {
  let browser: Browser
  beforeAll(async () => {
    browser = await sharedBrowser()
  })
  afterAll(closeContexts)

  /** Signs in, and hides the fault that the seed gives for the symptom; gives its address. */
  async function hidden(tree: string, seed: number, look: string, options: BrowserContextOptions) {
    const site = await makeSite({ knowledgeDir, env: { RATE_PER_MINUTE: '0' } })
    const { practice } = site.deps
    if (practice) practice.chance = words => createRandom(words.replace(/^[0-9a-f-]{36}/, `fixed ${seed}`))
    const server = await listen(site)
    const context = await browser.newContext(options)
    await context.addCookies([{ name: 'look', value: look, url: server.address }])
    const page = await context.newPage()
    await handsOn(page, server.address).signIn('wren')
    await page.goto(`${server.address}/practice`)
    await page.getByLabel('What is noticed').selectOption(tree)
    await press(page, 'Hide a fault')
    const at = page.url()
    await page.goto(`${at}/attendances/new`)
    await attend(page)
    return { page, at, close: () => Promise.all([context.close(), server.close()]) }
  }

  async function attend(page: Page): Promise<void> {
    await page.locator('label.tile', { has: page.locator('[name=seen]') }).click()
    await page.locator('[name=spokenTo]').fill('signaller')
    await page.locator('[name=protection]').fill('line blocked')
    await page.locator('[name=isolation]').fill('nothing')
    await press(page, 'Start')
  }

  /** Makes check after check until the walk stands at a cause or an end; gives their titles. */
  async function walkedTo(page: Page, at: string): Promise<string[]> {
    const titles: string[] = []
    for (let turn = 0; turn < 30; turn++) {
      const title = await next(page, at)
      if (page.url().endsWith('/identity')) await readPlate(page)
      else if (page.url().includes('/checks/')) {
        titles.push(title)
        await makeCheck(page)
      } else return titles
    }
    return titles
  }

  /** Each way is what a technician would do by hand, check by check, with what the equipment has then. */
  const found: [string, number, string, BrowserContextOptions, string, string[]][] = [
    [
      ...(['one-loop-dead', 6, 'day', tablet, 'Loop termination loose'] as const),
      [
        ...['Which channel is dead', 'Trigger output with the cable off', 'Trigger loop resistance'],
        ...['Trigger loop at the link box', 'Terminations of the cable'],
      ],
    ],
    [
      ...(['no-drive', 2, 'night', phone, 'Drive wire loose'] as const),
      [
        ...['What calls for drive', 'Drive at the module', 'Drive feed', 'Voltage across the drive contact'],
        'Drop along the drive wire',
      ],
    ],
    [
      ...(['supply-absent-or-low', 4, 'auto', tablet, 'Fuse holder loose'] as const),
      ['Supply at the power module', 'Busbar voltage', 'Voltage across the supply fuse', 'Supply fuse link'],
    ],
  ]
  it.each(found)('finds what is hidden behind %s (%i, %s)', async (tree, seed, look, options, cause, way) => {
    const { page, at, close } = await hidden(tree, seed, look, options)
    expect(await walkedTo(page, at)).toEqual(way)
    expect(await page.locator('main h1').textContent()).toContain(cause)
    await mendAndClose(page, at, 'Wren Aldous')
    expect(await page.locator('main').textContent()).toContain('Signed: Wren Aldous')
    await page.getByRole('link', { name: 'What it was' }).click()
    await page.getByRole('heading', { name: `It was: ${cause}` }).waitFor()
    const told = await page.locator('main').textContent()
    expect(told).toContain('You found it and mended it.')
    expect(told).toContain('little else was left')
    expect(told).toContain('None: what you recorded is what there was.')
    await close()
  })

  it('tells what was missed, by which reading, and what was left disturbed', async () => {
    const { page, at, close } = await hidden('one-loop-dead', 6, 'day', phone)
    for (let turn = 0; turn < 20; turn++) {
      const title = await next(page, at)
      if (page.url().endsWith('/identity')) await readPlate(page)
      else if (!page.url().includes('/checks/')) break
      else await makeCheck(page, title === 'Trigger loop resistance' ? '8.1 ohm' : null)
    }
    await press(page, 'Stop and see what it was')
    const told = await page.locator('main').textContent()
    expect(told).toContain('It was: Loop termination loose')
    expect(told).toContain('The cause was not mended.')
    expect(told).toContain('The instrument or the eye said OL.')
    expect(told).not.toMatch(/Left disturbed\s+Nothing/)
    await close()
  })
})
