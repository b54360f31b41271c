import { describe, expect, it } from 'vitest'
import { noBrowser } from '../../support/browser.ts'
import { useTablet } from './tablet.ts'

describe.skipIf(noBrowser())('the keypad', () => {
  const tablet = useTablet()
  const { open, press, reads } = tablet

  it('writes digits, the point, minus and OL, and rubs out', async () => {
    await open('check')
    await press('9', '6', '.', '4')
    await reads('96.4')
    await press('-')
    await reads('-96.4')
    await press('-', 'backspace', '5')
    await reads('96.5')
    await press('OL')
    await reads('OL')
    await press('7')
    await reads('7')
    await press('clear')
    await reads('')
  })

  it('takes a point once, and two values only by its own key', async () => {
    await open('look')
    await tablet.page.fill('#look-reading', '')
    const holds = (text: string) => expect.poll(() => tablet.page.inputValue('#look-reading')).toBe(text)
    await press('1', '0', '5', '.', '.', '3')
    await holds('105.3')
    await press('to', '.', '9', '.', 'to')
    await holds('105.3 to .9')
    await press('-')
    await holds('105.3 to -.9')
    await press('mΩ')
    await holds('105.3 to -.9 mΩ')
    await press('clear', 'to', '4', 'to', 'backspace')
    await holds('4')
  })

  it('keeps a number before its unit', async () => {
    await open('look')
    await tablet.page.fill('#look-reading', '')
    await press('8', '0', 'mΩ', '5')
    await expect.poll(() => tablet.page.inputValue('#look-reading')).toBe('805 mΩ')
    await press('kΩ')
    await expect.poll(() => tablet.page.inputValue('#look-reading')).toBe('805 kΩ')
  })

  it('writes where the caret stands', async () => {
    await open('check')
    await tablet.page.fill('#reading', '964')
    await tablet.page.evaluate(`document.querySelector('#reading').setSelectionRange(2, 2)`)
    await press('.')
    await reads('96.4')
  })

  it('keeps the tablet’s own keyboard down until it is asked for', async () => {
    const touch = await tablet.browser.newContext({
      viewport: { width: 820, height: 1180 },
      hasTouch: true,
      isMobile: true,
    })
    const page = await touch.newPage()
    await page.goto(`${tablet.harness.address}/check`)
    const mode = () => page.evaluate(`document.querySelector('#reading').inputMode`)
    await page.waitForSelector('[data-covered]', { state: 'detached' })
    expect(await mode()).toBe('none')
    await page.tap('[data-keyboard]')
    await expect.poll(mode).toBe('text')
    await touch.close()
  })

  it('moves nothing when it is uncovered', async () => {
    await tablet.page.addInitScript(`
      window.shift = 0
      new PerformanceObserver(list => {
        for (const entry of list.getEntries()) window.shift += entry.value
      }).observe({ type: 'layout-shift', buffered: true })
    `)
    await open('check')
    await tablet.page.waitForTimeout(300)
    expect(await tablet.page.evaluate('window.shift')).toBe(0)
  })
})
