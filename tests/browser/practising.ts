// A hidden fault walked in a browser: what there is to do on each page, read off the page itself.

import type { Page } from 'playwright-core'
import { patienceMs } from '../support/browser.ts'

const CONFIRMED = ['dead', 'ends', 'electronics']

/** Presses what sends the page on, and waits for the next one. */
export async function press(page: Page, words: string | RegExp): Promise<void> {
  await page.evaluate(() => document.documentElement.setAttribute('data-left', ''))
  const button = page.getByRole('button', { name: words, exact: typeof words === 'string' }).first()
  await button.click()
  await page.waitForFunction(() => !document.documentElement.hasAttribute('data-left'), {
    timeout: patienceMs,
  })
}

/** The fault's own page says what comes next. */
export async function next(page: Page, at: string): Promise<string> {
  await page.goto(`${at}/next`)
  return (await page.locator('main h1').first().textContent())?.trim() ?? ''
}

/** Reads the plate off the equipment and types it. */
export async function readPlate(page: Page): Promise<void> {
  await press(page, 'Read the plate')
  const words = (await page.locator('.practice-panel').textContent()) ?? ''
  await page.getByLabel('Code on the plate').fill(/says (.+)\./.exec(words)?.[1] ?? '')
  await press(page, 'Compare')
}

/** Of the train that is signalled, if there is one. */
async function standClear(page: Page): Promise<void> {
  if (await page.getByRole('button', { name: /Stand clear/ }).count()) await press(page, /Stand clear/)
}

/** Makes a check: does what it says, takes the reading or looks, and records it, or `typed` in its place. */
export async function makeCheck(page: Page, typed: string | null = null): Promise<void> {
  await standClear(page)
  if (await page.getByRole('button', { name: 'Go on to the reading' }).count()) await confirmDead(page)
  const done = page.locator('#practice-done')
  if (await done.count()) await page.locator('label.tile', { has: done }).click()
  await press(page, /^(?:Take the reading|Look)$/)
  if (typed !== null) await page.locator('#text').fill(typed)
  await press(page, 'Record it')
  const yes = page.getByRole('button', { name: /^Yes, / })
  if (await yes.count()) await press(page, /^Yes, /)
}

async function confirmDead(page: Page): Promise<void> {
  for (const name of CONFIRMED)
    await page
      .locator('label.tile', { has: page.locator(`#${name}`) })
      .first()
      .click()
  await press(page, 'Go on to the reading')
}

/** From the cause to the signed record: repaired, put back, proved by what is shown, closed. */
export async function mendAndClose(page: Page, at: string, name: string): Promise<void> {
  await standClear(page)
  await page.goto(`${at}/repairs/new?action=other`)
  await page.locator('label.tile', { hasText: 'Connection remade' }).click()
  await page.locator('[name=words]').fill('made good')
  await press(page, 'Record it')
  for (let turn = 0; turn < 30; turn++) {
    await next(page, at)
    if (page.url().endsWith('/closure')) return close(page, name)
    if (page.url().endsWith('/put-back')) await press(page, 'Restored')
    else if (page.url().endsWith('/identity')) await readPlate(page)
    else await proveOne(page)
  }
  throw new Error(`It does not come to its end: ${page.url()}`)
}

async function proveOne(page: Page): Promise<void> {
  const open = page.locator('.entry', { hasText: 'Not done yet' }).locator('a').first()
  if (!(await open.count())) return press(page, 'It is gone')
  await page.goto(new URL((await open.getAttribute('href')) ?? '', page.url()).href)
  await makeCheck(page)
}

async function close(page: Page, name: string): Promise<void> {
  await page.locator('label.tile', { hasText: 'Proven cause' }).click()
  await page.locator('[name=changed]').fill('what was bad')
  await page.locator('[name=words]').fill('nothing')
  await press(page, /^Read it once more/)
  await page.locator('[name=printedName]').fill(name)
  await press(page, 'Sign and close')
}
