import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { noBrowser, openBrowser } from '../support/browser.ts'
import { type Harness, startHarness } from './harness.ts'

describe.skipIf(noBrowser())('in a real browser', () => {
  let browser: Browser
  let harness: Harness
  let context: BrowserContext
  let page: Page

  beforeAll(async () => {
    browser = await openBrowser()
  })
  afterAll(() => browser.close())
  beforeEach(async () => {
    harness = await startHarness()
    context = await browser.newContext({ viewport: { width: 820, height: 1180 }, hasTouch: true })
    page = await context.newPage()
  })
  afterEach(async () => {
    await context.close()
    await harness.close()
  })

  const open = (name: string) => page.goto(`${harness.address}/${name}`)
  const reading = () => page.inputValue('#reading')
  const press = async (...keys: string[]) => {
    for (const key of keys) await page.tap(`[data-key="${key}"]`)
  }
  const record = () => page.tap('text=Record reading')
  const state = (fact: string) => page.textContent(`[data-state-${fact}]`)
  const saved = () => expect.poll(() => state('saved')).toMatch(/\d\d:\d\d/)
  const oneWaits = () => expect.poll(() => state('waiting')).toContain('1, since')

  describe('the keypad', () => {
    it('writes digits, the point, minus and OL, and rubs out', async () => {
      await open('check')
      await press('9', '6', '.', '4')
      expect(await reading()).toBe('96.4')
      await press('-')
      expect(await reading()).toBe('-96.4')
      await press('-', 'backspace', '5')
      expect(await reading()).toBe('96.5')
      await press('OL')
      expect(await reading()).toBe('OL')
      await press('7')
      expect(await reading()).toBe('7')
      await press('clear')
      expect(await reading()).toBe('')
    })

    it('keeps a number before its unit', async () => {
      await open('look')
      await page.fill('#look-reading', '')
      await press('8', '0', 'mΩ', '5')
      expect(await page.inputValue('#look-reading')).toBe('805 mΩ')
      await press('kΩ')
      expect(await page.inputValue('#look-reading')).toBe('805 kΩ')
    })

    it('writes where the caret stands', async () => {
      await open('check')
      await page.fill('#reading', '964')
      await page.evaluate(`document.querySelector('#reading').setSelectionRange(2, 2)`)
      await press('.')
      expect(await reading()).toBe('96.4')
    })

    it('keeps the tablet’s own keyboard down until it is asked for', async () => {
      const touch = await browser.newContext({
        viewport: { width: 820, height: 1180 },
        hasTouch: true,
        isMobile: true,
      })
      const tablet = await touch.newPage()
      await tablet.goto(`${harness.address}/check`)
      const mode = () => tablet.evaluate(`document.querySelector('#reading').inputMode`)
      await tablet.waitForSelector('[data-covered]', { state: 'detached' })
      expect(await mode()).toBe('none')
      await tablet.tap('[data-keyboard]')
      expect(await mode()).toBe('text')
      await touch.close()
    })

    it('moves nothing when it is uncovered', async () => {
      await page.addInitScript(`
        window.shift = 0
        new PerformanceObserver(list => {
          for (const entry of list.getEntries()) window.shift += entry.value
        }).observe({ type: 'layout-shift', buffered: true })
      `)
      await open('check')
      await page.waitForTimeout(300)
      expect(await page.evaluate('window.shift')).toBe(0)
    })
  })

  describe('what is typed', () => {
    it('is there again after the page is opened anew, under the same write id', async () => {
      await open('check')
      const id = await page.inputValue('input[name=id]')
      await press('9', '6')
      await saved()
      await open('check')
      await expect.poll(reading).toBe('96')
      expect(await page.inputValue('input[name=id]')).toBe(id)
    })

    it('is there again after the browser is killed', async () => {
      const { mkdtempSync, rmSync } = await import('node:fs')
      const folder = mkdtempSync('/tmp/fourfoot-tablet-')
      const launch = () =>
        chromium.launchPersistentContext(folder, {
          executablePath: '/usr/bin/chromium',
          args: ['--no-sandbox', '--disable-gpu'],
        })
      const tablet = await launch()
      const first = await tablet.newPage()
      await first.goto(`${harness.address}/check`)
      await first.fill('#reading', '96.4')
      await expect.poll(() => first.textContent('[data-state-saved]')).toMatch(/\d\d:\d\d/)
      await killBrowser(tablet, folder)
      const again = await launch()
      const second = await again.newPage()
      await second.goto(`${harness.address}/check`)
      await expect.poll(() => second.inputValue('#reading')).toBe('96.4')
      await again.close()
      rmSync(folder, { recursive: true, force: true })
    })

    it('goes once the server has confirmed that write', async () => {
      await open('check')
      await press('9')
      await saved()
      harness.frame = { kept: await page.inputValue('input[name=id]') }
      await open('list')
      await page.waitForTimeout(200)
      harness.frame = {}
      await open('check')
      await page.waitForTimeout(300)
      expect(await reading()).toBe('')
    })

    it('is not shown to another person', async () => {
      await open('check')
      await press('9')
      await saved()
      harness.frame = { person: 'p2' }
      await open('check')
      await page.waitForTimeout(300)
      expect(await reading()).toBe('')
    })

    it('holds choices and words, but never a PIN', async () => {
      await open('form')
      await page.check('input[value=dark]')
      await page.fill('#words', 'wet case')
      await page.fill('#pin', '4711')
      await saved()
      await open('form')
      await expect.poll(() => page.inputValue('#words')).toBe('wet case')
      expect(await page.isChecked('input[value=dark]')).toBe(true)
      expect(await page.inputValue('#pin')).toBe('')
    })
  })

  describe('sending', () => {
    it('answers the tap on the button itself, at once', async () => {
      await open('check')
      harness.answers = 'silence'
      const said = await page.evaluate(`
        const button = document.querySelector('button[value=reading]')
        button.click()
        ;[button.textContent, button.getAttribute('aria-busy')]
      `)
      expect(said).toEqual(['Recording…', 'true'])
    })

    it('takes two taps within half a second as one', async () => {
      await open('check')
      await press('9')
      await page.evaluate(`
        const button = document.querySelector('button[value=reading]')
        button.click()
        button.click()
      `)
      await page.waitForURL('**/verdict')
      expect(harness.posted).toHaveLength(1)
    })

    it('goes on where the server says, and counts as sent', async () => {
      await open('check')
      await press('9', '6')
      await record()
      await page.waitForURL('**/verdict')
      expect(Object.fromEntries(harness.posted[0] ?? [])).toMatchObject({ reading: '96', answer: 'reading' })
      await expect.poll(() => state('waiting')).toContain('0')
    })

    it('works with a server that only knows forms, and writes under one id', async () => {
      harness.answers = 'redirect'
      await open('check')
      await press('9')
      await record()
      await page.waitForURL('**/verdict')
      expect(new Set(harness.posted.map(body => body.get('id'))).size).toBe(1)
      expect(harness.posted.at(-1)?.get('answer')).toBe('reading')
    })

    it('keeps what found no answer, says so, and sends it again by the button', async () => {
      harness.answers = 'silence'
      await open('check')
      await press('9', '6')
      await record()
      await oneWaits()
      expect(await state('trouble')).toContain('kept on this tablet')
      expect(await page.textContent('button[value=reading]')).toBe('Record reading')
      harness.answers = 'acknowledge'
      await page.tap('[data-send-now]')
      await page.waitForURL('**/verdict')
      expect(harness.posted.map(body => body.get('reading'))).toEqual(['96'])
    })

    it('sends what waits when any page of the same person opens, and only then', async () => {
      harness.answers = 'silence'
      await open('check')
      await press('9')
      await record()
      await oneWaits()
      harness.answers = 'acknowledge'
      harness.frame = { person: 'p2' }
      await open('list')
      await page.waitForTimeout(300)
      expect(harness.posted).toHaveLength(0)
      harness.frame = {}
      await open('list')
      await page.waitForFunction(() =>
        /Sent: \d\d:\d\d/.test(document.querySelector('[data-state-sent]')?.textContent ?? ''),
      )
      await expect.poll(() => harness.posted.length).toBe(1)
    })

    it('shows the server’s own page when it refuses, with what was typed', async () => {
      harness.answers = 'refuse'
      await open('check')
      await page.fill('#reading', '9y')
      await record()
      await page.waitForSelector('.error-summary')
      expect(await reading()).toBe('9y')
      expect(await state('waiting')).toContain('0')
    })

    it('does not sign out while something waits', async () => {
      harness.answers = 'silence'
      await open('check')
      await press('9')
      await record()
      await oneWaits()
      await page.tap('text=Sign out')
      expect(await state('trouble')).toContain('Not signed out')
      expect(page.url()).toContain('/check')
    })
  })

  it('changes the look on the page, without leaving it', async () => {
    await open('check')
    await page.evaluate('window.stayed = true')
    await page.tap('.masthead-look button')
    expect(await page.getAttribute('html', 'data-look')).toBe('night')
    expect(await page.textContent('.masthead-look button')).toBe('Day look')
    expect(await page.getAttribute('.foot-look button[value=night]', 'aria-pressed')).toBe('true')
    expect(await page.evaluate('window.stayed')).toBe(true)
    await expect.poll(() => harness.looks).toEqual(['night'])
  })

  it('needs no script to answer a check', async () => {
    const plain = await browser.newContext({
      javaScriptEnabled: false,
      viewport: { width: 820, height: 1180 },
    })
    const bare = await plain.newPage()
    await bare.goto(`${harness.address}/check`)
    expect(await bare.isVisible('.keypad')).toBe(false)
    expect(await bare.isVisible('[data-send-now]')).toBe(false)
    await bare.fill('#reading', '96.4')
    await bare.click('text=Record reading')
    await bare.waitForURL('**/verdict')
    expect(harness.posted[0]?.get('reading')).toBe('96.4')
    await plain.close()
  })
})

/** Ends the whole browser at once, as a flat battery would. */
async function killBrowser(context: BrowserContext, folder: string): Promise<void> {
  const { readdirSync, readFileSync } = await import('node:fs')
  const gone = new Promise(done => context.once('close', done))
  for (const pid of readdirSync('/proc').filter(name => /^\d+$/.test(name))) {
    let line = ''
    try {
      line = readFileSync(`/proc/${pid}/cmdline`, 'utf8')
    } catch {}
    if (line.includes(`--user-data-dir=${folder}`) && !line.includes('--type='))
      process.kill(Number(pid), 'SIGKILL')
  }
  await gone
}
