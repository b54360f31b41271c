import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { keptOnTablet } from '../support/kept.ts'
import { listen } from '../support/listening.ts'
import { ownProfile } from '../support/own-browser.ts'
import { makeSite, type Site } from '../support/site.ts'
import { type Hands, handsOn } from './hands.ts'
import { doMainJob } from './main-job.ts'

const tablet = { viewport: { width: 820, height: 1180 }, hasTouch: true }

describe.skipIf(noBrowser())('an interruption', () => {
  let browser: Browser
  let site: Site
  let server: Awaited<ReturnType<typeof listen>>
  let context: BrowserContext
  let hands: Hands
  beforeAll(async () => {
    browser = await sharedBrowser()
  })
  afterAll(closeContexts)
  beforeEach(async () => {
    site = await makeSite()
    server = await listen(site)
    context = await browser.newContext(tablet)
    hands = handsOn(await context.newPage(), server.address)
  })
  afterEach(async () => {
    await context.close()
    await server.close()
  })

  it('at every step, the page killed, opens the same step with what was typed', async () => {
    const steps: string[] = []
    hands.beforeSending = async () => {
      const typed = await typedOn(hands.page)
      if (typed === null) return
      const address = hands.page.url()
      await keptOnTablet(hands.page)
      await hands.page.close({ runBeforeUnload: false })
      hands.page = await context.newPage()
      await hands.page.goto(address)
      await expect.poll(() => typedOn(hands.page), { message: address }).toEqual(typed)
      steps.push(new URL(address).pathname.replace(/[0-9a-f-]{36}/, 'ID'))
    }
    await doMainJob(hands)
    expect(new Set(steps)).toEqual(
      new Set([
        ...['/faults/new', '/faults/ID/attendances/new', '/faults/ID/checks/dead/supply'],
        ...['/faults/ID/checks/dead/loop-resistance', '/faults/ID/repairs/new', '/faults/ID/put-back'],
        ...['/faults/ID/proof/dead/loop-resistance', '/faults/ID/proof', '/faults/ID/closure'],
      ]),
    )
  })

  it('of the session in mid-check leads through signing in and on, with nothing typed again', async () => {
    const fault = await toFirstCheck(hands)
    await hands.reading('110')
    site.deps.storage.sessions.endAllOf('wren')
    await hands.page.locator('main').getByRole('button', { name: 'Record it' }).tap()
    await hands.sees('Nothing you entered is lost')
    await hands.page.locator('main').getByRole('button', { name: 'Go and sign in' }).tap()
    await hands.page.getByLabel('PIN').fill('2580')
    if (!(await hands.page.getByLabel('Name').inputValue()))
      await hands.page.getByLabel('Name').selectOption('Wren Aldous')
    await hands.page.locator('main').getByRole('button', { name: 'Sign in' }).tap()
    await hands.page.locator('main').getByRole('button', { name: 'Send it' }).tap()
    await hands.sees('110 V AC is within 99 to 121 V AC')
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(1)
  })

  it('by Back shows the earlier page, changes nothing, and keeps what is half typed', async () => {
    const fault = await toFirstCheck(hands)
    await hands.reading('11')
    await keptOnTablet(hands.page)
    await hands.page.goBack()
    await hands.page.goForward()
    await expect.poll(() => hands.page.locator('.reading-input').inputValue()).toBe('11')
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(0)
  })

  it('by a second tap within half a second is no second action', async () => {
    await hands.page.addInitScript(() => {
      document.addEventListener('click', ({ target }) => {
        const { taps = 0 } = sessionStorage
        if ((target as Element).closest('.actions button')) sessionStorage.taps = Number(taps) + 1
      })
    })
    const fault = await toFirstCheck(hands)
    await hands.page.evaluate(() => sessionStorage.removeItem('taps'))
    await hands.reading('110')
    const button = await hands.page.locator('main').getByRole('button', { name: 'Record it' }).boundingBox()
    await tapTwice(hands.page, (button?.x ?? 0) + 40, (button?.y ?? 0) + 20)
    await hands.sees('In range')
    expect(await hands.page.evaluate(() => sessionStorage.taps)).toBe('2')
    await hands.page.waitForTimeout(600)
    // Neither written twice, nor carried on to the next page by the second tap.
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(1)
    expect(hands.page.url()).toContain('/checks/dead/loop-resistance')
  })

  it('can’t make closing into signing: the two buttons lie in other places', async () => {
    await toFirstCheck(hands)
    await hands.page.goto(`${hands.page.url().replace(/checks.*/, '')}closure`)
    await hands.tile('Not completed')
    await hands.fill('What was changed', 'nothing')
    await hands.fill('What should the next person know', 'stopped for a train')
    const boxOf = async (name: string) => {
      const box = await hands.page.locator('main').getByRole('button', { name }).boundingBox()
      // Where it lies on the screen when one has come to it.
      return { top: box?.y ?? 0, bottom: (box?.y ?? 0) + (box?.height ?? 0) }
    }
    const first = await boxOf('Read it once more')
    await hands.tap('Read it once more')
    const second = await boxOf('Sign and close')
    expect(second.top > first.bottom || second.bottom < first.top, JSON.stringify([first, second])).toBe(true)
  })

  it('by a browser killed outright, as by a flat battery, loses no keystroke', async () => {
    const startBrowser = ownProfile()
    const first = await startBrowser()
    const before = handsOn(await first.page(), server.address, 'keyboard')
    await before.page.setViewportSize(tablet.viewport)
    await toFirstCheck(before)
    const address = before.page.url()
    await before.page.locator('.reading-input').pressSequentially('109.5', { delay: 20 })
    await keptOnTablet(before.page)
    await first.kill()
    const second = await startBrowser()
    const page = await second.page()
    // Cookies are written out lazily: the sign-in may be gone, the words may not.
    await handsOn(page, server.address, 'keyboard').signIn('wren')
    await page.goto(address)
    await expect.poll(() => page.locator('.reading-input').inputValue()).toBe('109.5')
    await second.kill()
  })
})

/** Reports and attends by the forms alone; stands at the first check. */
async function toFirstCheck(hands: Hands): Promise<string> {
  const { page } = hands
  await hands.signIn('wren')
  await page.goto(`${new URL(page.url()).origin}/faults/new?position=up`)
  await page.locator('label.tile', { hasText: 'Telltale dark' }).click()
  await hands.fill('In their words', 'Blue lamp flashing')
  await hands.fill('Who reported it', 'signaller')
  await page.locator('label.tile', { hasText: 'Still working' }).first().click()
  await page.getByRole('button', { name: 'Report it' }).click()
  await page.getByRole('link', { name: 'Attend' }).click()
  await page.locator('label.tile', { hasText: 'Seen' }).click()
  await hands.fill('Who did you speak to', 'signaller')
  await hands.tile('line blocked')
  await hands.tile('nothing isolated')
  await hands.fill('Code on the plate', 'WH-3-U')
  await page.getByRole('button', { name: 'Start' }).click()
  await page.waitForURL(/checks/)
  return /faults\/([^/]+)/.exec(page.url())?.[1] ?? ''
}

/** Both taps are given to the browser at once: one after the other's answer could be half a second on a busy machine. */
async function tapTwice(page: Page, x: number, y: number): Promise<void> {
  const session = await page.context().newCDPSession(page)
  const touch = (type: 'touchStart' | 'touchEnd') =>
    session.send('Input.dispatchTouchEvent', { type, touchPoints: type === 'touchStart' ? [{ x, y }] : [] })
  await Promise.all([touch('touchStart'), touch('touchEnd'), touch('touchStart'), touch('touchEnd')])
}

/** What stands in the fields that are kept; null where the page keeps none. */
function typedOn(page: Page): Promise<string[] | null> {
  return page.evaluate(() => {
    const forms = [...document.querySelectorAll<HTMLFormElement>('main form[data-keep]')]
    if (forms.length === 0) return null
    const fields = forms.flatMap(form => [...form.elements]) as HTMLInputElement[]
    return fields
      .filter(field => field.name && !['hidden', 'submit', 'button'].includes(field.type))
      .map(field => `${field.name}: ${'checked' in field && field.checked ? 'ticked ' : ''}${field.value}`)
  })
}
