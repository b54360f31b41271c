// Takes the pictures of README.md from the demo, at tablet size: npm run screens

import { mkdirSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import type { Page } from 'playwright-core'
import { readConfig } from '../../server/config.ts'
import { loadDemo } from '../../server/demo/load.ts'
import { demoPeople } from '../../server/demo/railway/people.ts'
import { run } from '../../server/start.ts'
import { openBrowser } from '../support/browser.ts'

const folder = path.join(import.meta.dirname, 'screens')
const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-screens-'))
mkdirSync(folder, { recursive: true })

const config = readConfig({ PORT: '0', LOG_LEVEL: 'silent' })
const running = await run(config, path.join(dir, 'demo.db'), {
  demoNotice: 'Demo: this railway, its people and its limits are made up. Never use it on a real one.',
  prepare: async (storage, library) => {
    const { knowledge, id } = library.current()
    await loadDemo(storage, knowledge, id, { seed: 1, now: new Date() })
  },
})
const browser = await openBrowser()
const context = await browser.newContext({ viewport: { width: 820, height: 1180 } })
const page = await context.newPage()
await technician(page)
await browser.close()
await running.close()
rmSync(dir, { recursive: true })

async function technician(page: Page): Promise<void> {
  await signIn(page, 'technician')
  await look('day')
  const [position] = running.deps.storage.positions.search('Overspeed', 1)
  await page.goto(`${running.address}/faults/new?position=${position?.id}`)
  await page.locator('label.tile', { hasText: 'Output telltale dark' }).first().click()
  await page.getByLabel('In their words').fill('Failure lamp flashing for signal and loops.')
  await page.getByLabel('Who reported it').fill('signaller, workstation 4')
  await page.locator('label.tile', { hasText: 'Still working' }).first().click()
  await page.getByRole('button', { name: 'Report it' }).click()
  await page.getByRole('link', { name: 'Attend' }).click()
  await page.locator('label.tile', { hasText: 'Seen' }).click()
  await page.getByLabel('Who did you speak to').fill('signaller, workstation 4')
  await page.locator('label.tile', { hasText: 'line blocked' }).click()
  await page.locator('label.tile', { hasText: 'nothing isolated' }).click()
  await page.getByLabel('Code on the plate').fill(position?.plate ?? '')
  await page.getByRole('button', { name: 'Start' }).click()
  await page.waitForURL(/checks/)
  await shoot('check-day')
  await look('night')
  await page.reload()
  await shoot('check-night')
  await look('day')
  await page.reload()
  for (const key of ['2', '1', '.', '9']) await page.locator(`.keypad [data-key="${key}"]`).click()
  await page.getByRole('button', { name: 'Record it' }).click()
  await page.getByText('Below').first().waitFor()
  await shoot('found-day')
  const fault = /faults\/([^/]+)/.exec(page.url())?.[1]
  await page.goto(`${running.address}/faults/${fault}/likely`)
  await shoot('likely-day')
  const closed = running.deps.storage.faults
    .listRecent(80)
    .find(one => one.outcome === 'proven cause' && one.people.length === 1)
  await page.goto(`${running.address}/faults/${closed?.id}/record`)
  await shoot('record-day')
}

async function signIn(page: Page, role: string): Promise<void> {
  const someone = demoPeople.find(one => one.role === role)
  await page.goto(`${running.address}/sign-in`)
  await page.getByLabel('Name').selectOption(someone?.name ?? '')
  await page.getByLabel('PIN').fill(someone?.pin ?? '')
  await page.locator('main').getByRole('button', { name: 'Sign in' }).click()
}

function look(value: string): Promise<void> {
  return context.addCookies([{ name: 'look', value, url: running.address }])
}

async function shoot(name: string): Promise<void> {
  await page.evaluate(() => document.fonts.ready)
  await page.screenshot({ path: path.join(folder, `${name}.png`) })
  console.log(`${name}.png`)
}
