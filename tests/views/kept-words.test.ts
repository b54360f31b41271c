import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { type BrowserContext, chromium } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { noBrowser } from '../support/browser.ts'
import { useTablet } from './tablet.ts'

describe.skipIf(noBrowser())('what is typed', () => {
  const tablet = useTablet()
  const { open, press, reading, saved } = tablet

  it('is there again after the page is opened anew, under the same write id', async () => {
    await open('check')
    const id = await tablet.page.inputValue('input[name=id]')
    await press('9', '6')
    await saved()
    await open('check')
    await expect.poll(reading).toBe('96')
    expect(await tablet.page.inputValue('input[name=id]')).toBe(id)
  })

  it('is there again after the browser is killed', async () => {
    const folder = mkdtempSync(path.join(tmpdir(), 'fourfoot-tablet-'))
    const launch = () =>
      chromium.launchPersistentContext(folder, {
        executablePath: process.env.CHROMIUM_PATH ?? '/usr/bin/chromium',
        args: ['--no-sandbox', '--disable-gpu'],
      })
    const before = await launch()
    const first = await before.newPage()
    await first.goto(`${tablet.harness.address}/check`)
    await first.fill('#reading', '96.4')
    await expect.poll(() => first.textContent('[data-state-saved]')).toMatch(/\d\d:\d\d/)
    await killBrowser(before, folder)
    const again = await launch()
    const second = await again.newPage()
    await second.goto(`${tablet.harness.address}/check`)
    await expect.poll(() => second.inputValue('#reading')).toBe('96.4')
    await again.close()
    rmSync(folder, { recursive: true, force: true })
  })

  it('goes once the server has confirmed that write', async () => {
    await open('check')
    await press('9')
    await saved()
    tablet.harness.frame = { kept: await tablet.page.inputValue('input[name=id]') }
    await open('list')
    await tablet.page.waitForTimeout(200)
    tablet.harness.frame = {}
    await open('check')
    await tablet.page.waitForTimeout(300)
    expect(await reading()).toBe('')
  })

  it('is not shown to another person', async () => {
    await open('check')
    await press('9')
    await saved()
    tablet.harness.frame = { person: 'p2' }
    await open('check')
    await tablet.page.waitForTimeout(300)
    expect(await reading()).toBe('')
  })

  it('holds choices and words, but never a PIN', async () => {
    await open('form')
    await tablet.page.check('input[value=dark]')
    await tablet.page.fill('#words', 'wet case')
    await tablet.page.fill('#pin', '4711')
    await saved()
    await open('form')
    await expect.poll(() => tablet.page.inputValue('#words')).toBe('wet case')
    expect(await tablet.page.isChecked('input[value=dark]')).toBe(true)
    expect(await tablet.page.inputValue('#pin')).toBe('')
  })
})

/** Ends the whole browser at once, as a flat battery would. */
async function killBrowser(context: BrowserContext, folder: string): Promise<void> {
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
