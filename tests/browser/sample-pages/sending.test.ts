import { describe, expect, it } from 'vitest'
import { noBrowser } from '../../support/browser.ts'
import { useTablet } from './tablet.ts'

describe.skipIf(noBrowser())('sending', () => {
  const tablet = useTablet()
  const { open, press, record, reads, says, oneWaits } = tablet

  it('answers the tap on the button itself, at once', async () => {
    await open('check')
    tablet.harness.answers = 'silence'
    const said = await tablet.page.evaluate(`
        const button = document.querySelector('button[value=reading]')
        button.click()
        ;[button.textContent, button.getAttribute('aria-busy')]
      `)
    expect(said).toEqual(['Recording…', 'true'])
  })

  it('takes two taps within half a second as one', async () => {
    await open('check')
    await press('9')
    await tablet.page.evaluate(`
        const button = document.querySelector('button[value=reading]')
        button.click()
        button.click()
      `)
    await tablet.page.waitForURL('**/verdict')
    expect(tablet.harness.posted).toHaveLength(1)
  })

  it('goes on where the server says, and counts as sent', async () => {
    await open('check')
    await press('9', '6')
    await record()
    await tablet.page.waitForURL('**/verdict')
    expect(Object.fromEntries(tablet.harness.posted[0] ?? [])).toMatchObject({
      reading: '96',
      answer: 'reading',
    })
    await says('waiting', '0')
  })

  it('works with a server that only knows forms, and writes under one id', async () => {
    tablet.harness.answers = 'redirect'
    await open('check')
    await press('9')
    await record()
    await tablet.page.waitForURL('**/verdict')
    expect(new Set(tablet.harness.posted.map(body => body.get('id'))).size).toBe(1)
    expect(tablet.harness.posted.at(-1)?.get('answer')).toBe('reading')
  })

  it('keeps what found no answer, says so, and sends it again by the button', async () => {
    tablet.harness.answers = 'silence'
    await open('check')
    await press('9', '6')
    await record()
    await oneWaits()
    await says('trouble', 'kept on this tablet')
    await expect.poll(() => tablet.page.textContent('button[value=reading]')).toBe('Record reading')
    tablet.harness.answers = 'acknowledge'
    await tablet.page.tap('[data-send-now]')
    await tablet.page.waitForURL('**/verdict')
    expect(tablet.harness.posted.map(body => body.get('reading'))).toEqual(['96'])
  })

  it('keeps what the server can’t take just now, says so, and sends it again when it was told to', async () => {
    tablet.harness.answers = 'not now'
    await open('check')
    await press('9', '6')
    await record()
    await oneWaits()
    await says('trouble', 'can’t record just now. It is kept on this tablet')
    await expect.poll(() => tablet.harness.posted.length, { timeout: 10_000 }).toBeGreaterThan(1)
    tablet.harness.answers = 'acknowledge'
    await tablet.page.waitForURL('**/verdict')
    const sent = tablet.harness.posted.map(body => [body.get('id'), body.get('reading')].join(' '))
    expect(new Set(sent).size).toBe(1)
  })

  it('sends the same words again under the same id, and other words under one of their own', async () => {
    tablet.harness.answers = 'silence'
    await open('check')
    await press('9', '6')
    await record()
    await oneWaits()
    await expect.poll(() => tablet.page.textContent('button[value=reading]')).toBe('Record reading')
    await tablet.page.waitForTimeout(600) // a second tap within half a second counts as one
    await record()
    await expect.poll(() => tablet.page.textContent('button[value=reading]')).toBe('Record reading')
    await oneWaits()
    await press('5')
    await tablet.page.waitForTimeout(600)
    await record()
    await says('waiting', '2, since')
    tablet.harness.answers = 'acknowledge'
    await tablet.page.tap('[data-send-now]')
    await expect.poll(() => tablet.harness.posted.length).toBe(2)
    const sent = tablet.harness.posted.map(body => [body.get('reading'), body.get('id')])
    expect(sent.map(([reading]) => reading)).toEqual(['96', '965'])
    expect(new Set(sent.map(([, id]) => id)).size).toBe(2)
    expect(sent[1]?.[1]).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/)
  })

  it('sends what waits when any page of the same person opens, and only then', async () => {
    tablet.harness.answers = 'silence'
    await open('check')
    await press('9')
    await record()
    await oneWaits()
    tablet.harness.answers = 'acknowledge'
    tablet.harness.frame = { person: 'p2' }
    await open('list')
    await tablet.page.waitForTimeout(300)
    expect(tablet.harness.posted).toHaveLength(0)
    tablet.harness.frame = {}
    await open('list')
    await tablet.page.waitForFunction(() =>
      /Sent: \d\d:\d\d/.test(document.querySelector('[data-state-sent]')?.textContent ?? ''),
    )
    await expect.poll(() => tablet.harness.posted.length).toBe(1)
  })

  it('shows the server’s own page when it refuses, with what was typed', async () => {
    tablet.harness.answers = 'refuse'
    await open('check')
    await tablet.page.fill('#reading', '9y')
    await record()
    await tablet.page.waitForSelector('.error-summary')
    await reads('9y')
    await says('waiting', '0')
  })

  it('does not sign out while something waits', async () => {
    tablet.harness.answers = 'silence'
    await open('check')
    await press('9')
    await record()
    await oneWaits()
    await tablet.page.tap('text=Sign out')
    await says('trouble', 'Not signed out')
    expect(tablet.page.url()).toContain('/check')
  })

  it('changes the look on the page, without leaving it', async () => {
    await open('check')
    await tablet.page.evaluate('window.stayed = true')
    await tablet.page.tap('.masthead-look button')
    await expect.poll(() => tablet.page.getAttribute('html', 'data-look')).toBe('night')
    expect(await tablet.page.textContent('.masthead-look button')).toBe('Day look')
    expect(await tablet.page.getAttribute('.foot-look button[value=night]', 'aria-pressed')).toBe('true')
    expect(await tablet.page.evaluate('window.stayed')).toBe(true)
    await expect.poll(() => tablet.harness.looks).toEqual(['night'])
  })

  it('needs no script to answer a check', async () => {
    const plain = await tablet.browser.newContext({
      javaScriptEnabled: false,
      viewport: { width: 820, height: 1180 },
    })
    const bare = await plain.newPage()
    await bare.goto(`${tablet.harness.address}/check`)
    expect(await bare.isVisible('.keypad')).toBe(false)
    expect(await bare.isVisible('[data-send-now]')).toBe(false)
    await bare.fill('#reading', '96.4')
    await bare.click('text=Record reading')
    await bare.waitForURL('**/verdict')
    expect(tablet.harness.posted[0]?.get('reading')).toBe('96.4')
    await plain.close()
  })
})
