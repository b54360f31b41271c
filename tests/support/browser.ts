import { existsSync } from 'node:fs'
import { type Browser, chromium } from 'playwright-core'
import { fontsOnly } from './fonts.ts'

const usualPlaces = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/snap/bin/chromium',
]
const path = [process.env.CHROMIUM_PATH, ...usualPlaces].find(place => place && existsSync(place))

/** True when there is no browser here: the browser tests are then left out, aloud. In CI that is a failure. */
export function noBrowser(): boolean {
  if (path) return false
  if (process.env.CI)
    throw new Error('No Chromium here (CHROMIUM_PATH or the usual places): CI can’t do without.')
  console.warn('\n*** No Chromium here: the browser tests are LEFT OUT. Set CHROMIUM_PATH to run them. ***\n')
  return true
}

export const browserSwitches = [
  ...['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run'],
  ...['--disable-background-networking', '--disable-component-update', '--disable-sync'],
]

export function browserPath(): string {
  if (!path) throw new Error('No Chromium here.')
  return path
}

/** Of each wait for a page: far more than a busy machine needs, as only a failure takes that long. */
export const patienceMs = 60_000

/** A browser of its own, drawing with the tests' own fonts. */
export async function openBrowser(): Promise<Browser> {
  const browser = await chromium.launch({
    executablePath: browserPath(),
    args: browserSwitches,
    timeout: patienceMs,
    env: { ...process.env, ...fontsOnly() },
  })
  browser.on('context', context => context.setDefaultTimeout(patienceMs))
  return browser
}

let shared: Promise<Browser> | null = null

/** The browser of all test files of a worker; it ends with the worker. */
export function sharedBrowser(): Promise<Browser> {
  shared ??= openBrowser()
  return shared
}

/** Closes what a test file has left open in the shared browser. */
export async function closeContexts(): Promise<void> {
  const browser = await shared
  await Promise.all(browser?.contexts().map(context => context.close()) ?? [])
}
