import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { noBrowser } from '../../support/browser.ts'
import { useTablet } from './tablet.ts'

describe.skipIf(noBrowser())('what could not be sent', () => {
  const tablet = useTablet()
  const { open, press, record, says, oneWaits } = tablet

  const waitInVain = async () => {
    tablet.harness.answers = 'silence'
    await open('check')
    expect(await tablet.page.isVisible('[data-save-copy]')).toBe(false)
    await press('9', '6')
    await record()
    await oneWaits()
  }

  it('can be carried away as a file, every field in words', async () => {
    await waitInVain()
    const [file] = await Promise.all([
      tablet.page.waitForEvent('download'),
      tablet.page.tap('[data-save-copy]'),
    ])
    expect(file.suggestedFilename()).toMatch(/^not-sent-\d{4}-\d\d-\d\dT\d{4}\.json$/)
    const copy = JSON.parse(readFileSync(await file.path(), 'utf8'))
    expect(copy.person).toBe('p1')
    expect(copy.entries[0].fields).toMatchObject({ reading: '96', answer: 'reading' })
    // A copy takes nothing off the tablet.
    await says('waiting', '1, since')
  })

  it('is called late after some hours', async () => {
    await waitInVain()
    await tablet.page.clock.setSystemTime(Date.now() + 3 * 3600_000)
    await tablet.page.tap('[data-send-now]')
    await says('trouble', 'waited for hours')
  })

  it('is told apart from what was not even kept, when the tablet is full', async () => {
    await open('check')
    // As a full tablet does it: every write to the store is aborted.
    await tablet.page.evaluate(`
      IDBObjectStore.prototype.put = function () { this.transaction.abort() }
    `)
    await press('9')
    await says('trouble', 'no room to keep what you type')
    tablet.harness.answers = 'silence'
    await record()
    await says('trouble', 'Leave this page open, and save a copy')
  })
})
