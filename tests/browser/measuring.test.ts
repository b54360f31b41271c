import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { makeMeasuringSite, standAt } from '../support/measuring.ts'
import { handsOn } from './hands.ts'

const left = noBrowser()

describe.skipIf(left)('a reading by touch', () => {
  let browser: Browser
  beforeAll(async () => {
    browser = await sharedBrowser()
  })
  afterAll(closeContexts)

  async function open(check: string, javaScriptEnabled: boolean) {
    const site = await makeMeasuringSite()
    const fault = await standAt(await site.as('wren'), check)
    const server = await listen(site)
    const viewport = { width: 820, height: 1180 }
    const context = await browser.newContext({ javaScriptEnabled, viewport, hasTouch: true })
    const page = await context.newPage()
    const hands = handsOn(page, server.address)
    await hands.signIn('wren')
    await page.goto(`${server.address}/faults/${fault}/checks/measured/${check}`)
    const close = async () => {
      await context.close()
      await server.close()
    }
    return { site, fault, hands, page, close }
  }

  it.each([
    ['with scripts', true],
    ['with scripts off', false],
  ])('is kept beside the next one and averaged, %s', async (_words, scripts) => {
    const { hands, page, site, fault, close } = await open('supply', scripts)
    await hands.reading('109.8')
    await page.getByText('Several readings').click()
    await hands.tap('Keep this one, type another')
    await page.waitForSelector('input[name=series][value="109.8"]')
    await page.waitForTimeout(300)
    expect(await page.locator('input[name=series]').inputValue()).toBe('109.8')
    expect(await page.locator('input[name=text]').inputValue()).toBe('')
    await hands.reading('110.2')
    await hands.tap('Record it')
    await hands.sees('÷ 2 = 110.0')
    expect(site.deps.storage.faults.get(fault).findings.at(-1)).toMatchObject({ text: '109.8; 110.2' })
    await close()
  })

  it.each([
    ['with scripts', true],
    ['with scripts off', false],
  ])('of insulation waits until all is confirmed, %s', async (_words, scripts) => {
    const { hands, page, close } = await open('insulation', scripts)
    expect(await page.locator('input[name=text]').count()).toBe(0)
    await hands.tile('Proved dead')
    await hands.tile('Both ends are off')
    await hands.tap('Go on to the reading')
    await hands.sees('Electronics are still connected')
    await hands.tile('All electronics are disconnected')
    await hands.tap('Go on to the reading')
    await hands.tile('Dry')
    await hands.reading('200')
    await hands.tap('Record it')
    await hands.sees('Taken dry')
    await close()
  })
})
