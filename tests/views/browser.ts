import { existsSync } from 'node:fs'
import { type Browser, chromium } from 'playwright-core'

const executablePath = process.env.CHROMIUM ?? '/usr/bin/chromium'

/** True when there is no browser here. In CI that is a failure, elsewhere the browser tests are left out, aloud. */
export function noBrowser(): boolean {
  if (existsSync(executablePath)) return false
  if (process.env.CI)
    throw new Error(`No browser at ${executablePath}; the browser tests can't be left out in CI.`)
  console.warn(`\n*** No browser at ${executablePath}: the browser tests are LEFT OUT. ***\n`)
  return true
}

export function openBrowser(): Promise<Browser> {
  const quiet = ['--disable-background-networking', '--disable-component-update', '--disable-sync']
  return chromium.launch({
    executablePath,
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', ...quiet],
  })
}
