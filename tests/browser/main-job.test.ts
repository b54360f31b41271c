import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { noBrowser, openBrowser } from '../support/browser.ts'
import { listen } from '../support/listening.ts'
import { makeSite, people } from '../support/site.ts'
import { handsOn } from './hands.ts'

const left = noBrowser()

describe.skipIf(left)('the main job in a real browser', () => {
  let browser: Browser
  beforeAll(async () => {
    browser = await openBrowser()
  })
  afterAll(() => browser.close())

  it.each([
    ['with scripts', true],
    ['with scripts off', false],
  ])(
    'goes from the report to the signed record %s',
    async (_words, javaScriptEnabled) => {
      const site = await makeSite()
      const server = await listen(site)
      const context = await browser.newContext({
        javaScriptEnabled,
        viewport: { width: 820, height: 1180 },
        hasTouch: true,
      })
      const page = await context.newPage()
      const troubles: string[] = []
      page.on('pageerror', error => troubles.push(error.message))
      page.on('console', message => message.type() === 'error' && troubles.push(message.text()))
      page.on(
        'response',
        answer => answer.status() >= 400 && troubles.push(`${answer.status()} ${answer.url()}`),
      )
      const { signIn, tile, tap, fill, sees, reading } = handsOn(page, server.address)

      await signIn('wren')
      await tap('Report a fault')
      await page.getByLabel('Site, position or plate').fill('WH-3-U')
      await tap('Find')
      await tap('Overspeed loops, up')
      await tap('Report a fault here')
      await tile('Telltale dark')
      await fill('In their words', 'Blue lamp flashing')
      await fill('Who reported it', 'signaller, panel 2')
      await tile('Kept')
      await tap('Report it')
      await sees('No earlier fault is on record here')
      await tap('Attend')
      await tile('Seen')
      await fill('Who did you speak to', 'signaller, panel 2')
      await fill('How are you protected', 'line blocked')
      await fill('What is isolated', 'nothing')
      await tap('Start')
      await sees('Hold the probes on S1 and S2')
      await reading('110')
      await tap('Record it')
      await sees('In range')
      await tap('Go on')
      await sees('Is this the right equipment?')
      await fill('Code on the plate', 'WH-3-U')
      await tap('Compare')
      await sees('Take the wire off L1')
      await reading('5.5')
      await tap('Record it')
      await sees('The loop is not whole')
      await tap('Cause: Loop broken')
      await sees('Mend the loop wire')
      await tap('Record what was done')
      await tile('Cable repaired')
      await fill('In words', 'wire worn through at the clip, jointed')
      await tap('Record it')
      await sees('0 of 1 restored')
      await tap('Restored')
      await sees('1 of 1 restored')
      await tap('Go on')
      await sees('0 of 2 proved')
      await tap('Loop resistance')
      await reading('1.2')
      await tap('Record it')
      await sees('1 of 2 proved')
      await tap('It is gone')
      await tap('Go on')
      await sees('1 of 2 restored')
      await tap('Restored')
      await tap('Go on')
      await tile('Proven cause')
      await fill('What was changed', 'loop wire jointed')
      await fill('What should the next person know', 'watch the clip')
      await tap('Read it once more')
      await fill('Your name', people.wren.name)
      await tap('Sign and close')
      await sees('Signed: Wren Aldous')
      await page.goto(`${server.address}/positions/up`)
      await sees('Loop broken')

      expect(troubles).toEqual([])
      await context.close()
      await server.close()
    },
    90_000,
  )

  it('opens at the same step with the typed text after the browser is killed', async () => {
    const site = await makeSite()
    const server = await listen(site)
    const context = await browser.newContext({ viewport: { width: 820, height: 1180 } })
    const page = await context.newPage()
    const hands = handsOn(page, server.address)
    await hands.signIn('wren')
    await page.goto(`${server.address}/faults/new?position=up`)
    await hands.fill('In their words', 'half a sentence')
    await page.close({ runBeforeUnload: false })
    const again = await context.newPage()
    await again.goto(`${server.address}/faults/new?position=up`)
    expect(await again.getByLabel('In their words').inputValue()).toBe('half a sentence')
    await context.close()
    await server.close()
  })
})
