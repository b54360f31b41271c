// What a tablet holds of what was typed, and what whoever takes it up afterwards can find.

import { randomUUID } from 'node:crypto'
import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { closeContexts, noBrowser, sharedBrowser } from '../support/browser.ts'
import { keptOnTablet } from '../support/kept.ts'
import { listen } from '../support/listening.ts'
import { makeSite, people, type Site } from '../support/site.ts'
import { attend, find, identify, report } from '../support/walking.ts'
import { type Hands, handsOn } from './hands.ts'

const day = 24 * 3600_000

describe.skipIf(noBrowser())('a tablet', () => {
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
    context = await browser.newContext({ viewport: { width: 820, height: 1180 }, hasTouch: true })
    hands = handsOn(await context.newPage(), server.address)
  })
  afterEach(async () => {
    await context.close()
    await server.close()
  })

  it('never keeps a PIN, not even while there is no answer; the form is sent once there is one', async () => {
    // Long enough to be in no id and no time by chance.
    const pin = '739164825093'
    site.deps.storage.people.update('isla', { pinHash: await site.deps.secrets.hash(pin) })
    const fault = await toRepair(site)
    const { page } = hands
    await hands.signIn('wren')
    await page.goto(`${server.address}/faults/${fault}/repairs/new?action=unit%20replaced`)
    const swap = { serialOut: 'T100', serialIn: 'T200', asFound0: 'A', asLeft0: 'A', words: 'dead' }
    for (const [name, text] of Object.entries(swap)) await page.locator(`[name="${name}"]`).fill(text)
    await hands.tile('R1')
    await hands.tap('Record it')
    await page.locator('[name="overrideName"]').fill(people.isla.name)
    await page.locator('[name="overrideReason"]').fill('none of the other kind in the van')
    await page.locator('[name="overridePin"]').fill(pin)
    await keptOnTablet(page)
    await context.setOffline(true)
    const record = page.locator('main').getByRole('button', { name: 'Record it' })
    await record.tap()
    await hands.sees('A PIN is never kept on a tablet')
    const kept = JSON.stringify(await allKept(page))
    expect(kept).toContain('none of the other kind in the van')
    expect(kept).not.toContain(pin)
    await context.setOffline(false)
    await page.waitForTimeout(600) // a second tap within half a second is none
    await record.tap()
    await page.waitForURL(url => !url.pathname.includes('/repairs'))
    expect(site.deps.storage.faults.get(fault).repairs).toHaveLength(1)
  })

  it('shows nothing to Back after signing out', async () => {
    const fault = await report(await site.as('wren'))
    await hands.signIn('wren')
    await hands.page.goto(`${server.address}/faults/${fault}`)
    await hands.sees('Blue lamp flashing')
    await hands.page.getByRole('button', { name: 'Sign out' }).tap()
    await hands.page.waitForURL('**/sign-in')
    await hands.page.goBack()
    await hands.page.waitForURL('**/sign-in**')
    expect(await hands.page.content()).not.toContain('Blue lamp flashing')
  })

  it('forgets what was half typed a month ago, whoever typed it, and nothing that waits to be sent', async () => {
    await hands.signIn('wren')
    const draft = (at: number) => ({ id: randomUUID(), at, fields: [['note', 'half typed']] })
    const now = Date.now()
    await put(hands.page, {
      ...{ 'draft:moss:old': draft(now - 31 * day), 'draft:wren:old': draft(now - 200 * day) },
      ...{ 'draft:moss:late': draft(now - 29 * day), 'draft:moss:wrong clock': draft(0) },
      'outbox:moss:unsent': { ...draft(now - 90 * day), action: '/', body: '', page: '/', refused: false },
    })
    await hands.page.reload()
    await expect
      .poll(() => namesKept(hands.page))
      .toEqual(['draft:moss:late', 'draft:moss:wrong clock', 'outbox:moss:unsent'])
  })
})

/** A fault of Wren Aldous's that stands at a cause which a unit mends. */
async function toRepair(site: Site): Promise<string> {
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault)
  const ways = { from: 'dead#supply', to: 'dead#telltale', reason: 'seen from the gate' }
  await wren.post(`/faults/${fault}/departures`, ways)
  await find(wren, fault, 'telltale', '=dark')
  await identify(wren, fault)
  return fault
}

/** Everything the tablet holds for this program but the server's own cookies, by name. */
function allKept(page: Page): Promise<Record<string, unknown>> {
  return page.evaluate(async () => {
    const request = indexedDB.open('fourfoot', 1)
    const store = await new Promise<IDBDatabase>((resolve, reject) => {
      request.onsuccess = () => resolve(request.result)
      request.onerror = () => reject(request.error)
    })
    const kept = store.transaction('kept').objectStore('kept')
    const [names, values] = [kept.getAllKeys(), kept.getAll()]
    await new Promise(resolve => values.addEventListener('success', resolve))
    store.close()
    const entries = names.result.map((name, at) => [String(name), values.result[at]])
    return { ...Object.fromEntries(entries), ...localStorage, ...sessionStorage }
  })
}

/** Names of drafts and of what waits. */
async function namesKept(page: Page): Promise<string[]> {
  return Object.keys(await allKept(page)).filter(name => !name.startsWith('sent:'))
}

function put(page: Page, entries: Record<string, unknown>): Promise<void> {
  return page.evaluate(async entries => {
    const request = indexedDB.open('fourfoot', 1)
    const store = await new Promise<IDBDatabase>((resolve, reject) => {
      request.onsuccess = () => resolve(request.result)
      request.onerror = () => reject(request.error)
    })
    const write = store.transaction('kept', 'readwrite')
    for (const [name, value] of Object.entries(entries)) write.objectStore('kept').put(value, name)
    await new Promise(resolve => write.addEventListener('complete', resolve))
    store.close()
  }, entries)
}
