import { describe, expect, it } from 'vitest'
import { noBrowser } from '../../support/browser.ts'
import { forgottenOnTablet } from '../../support/kept.ts'
import { ownProfile } from '../../support/own-browser.ts'
import { useTablet } from './tablet.ts'

describe.skipIf(noBrowser())('what is typed', () => {
  const tablet = useTablet()
  const { open, press, reads, saved } = tablet

  it('is there again after the page is opened anew, under the same write id', async () => {
    await open('check')
    const id = await tablet.page.inputValue('input[name=id]')
    await press('9', '6')
    await reads('96')
    await saved()
    await open('check')
    await reads('96')
    expect(await tablet.page.inputValue('input[name=id]')).toBe(id)
  })

  it('is there again after the browser is killed', async () => {
    const startBrowser = ownProfile()
    const before = await startBrowser()
    const first = await before.page()
    await first.goto(`${tablet.harness.address}/check`)
    await first.fill('#reading', '96.4')
    await expect.poll(() => first.textContent('[data-state-saved]')).toMatch(/\d\d:\d\d/)
    await before.kill()
    const again = await startBrowser()
    const second = await again.page()
    await second.goto(`${tablet.harness.address}/check`)
    await expect.poll(() => second.inputValue('#reading')).toBe('96.4')
    await again.kill()
  })

  it('goes once the server has confirmed that write', async () => {
    await open('check')
    await press('9')
    await saved()
    tablet.harness.frame = { kept: await tablet.page.inputValue('input[name=id]') }
    await open('list')
    await forgottenOnTablet(tablet.page)
    tablet.harness.frame = {}
    await open('check')
    await tablet.page.waitForTimeout(300)
    await reads('')
  })

  it('is not shown to another person', async () => {
    await open('check')
    await press('9')
    await saved()
    tablet.harness.frame = { person: 'p2' }
    await open('check')
    await tablet.page.waitForTimeout(300)
    await reads('')
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
