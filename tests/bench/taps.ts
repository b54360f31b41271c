// What a fault costs a technician, in pages and taps.

import { effortOf } from '../browser/count-taps.ts'
import { openBrowser } from '../support/browser.ts'
import type { Bench } from './run.ts'
import { once } from './shared.ts'

const effort = once(async () => {
  const browser = await openBrowser()
  try {
    return await effortOf(browser)
  } finally {
    await browser.close()
  }
})

export const benches: Bench[] = [
  {
    ...{ name: 'first-reading-pages', unit: 'pages', goal: { at: 'most', value: 3, counted: true } },
    run: async () => (await effort()).firstReadingPages,
  },
  {
    ...{ name: 'first-reading-taps', unit: 'taps', goal: { at: 'most', value: 8, counted: true } },
    run: async () => (await effort()).firstReadingTaps,
  },
  {
    ...{ name: 'signed-pages', unit: 'pages', goal: { at: 'most', value: 17, counted: true } },
    run: async () => (await effort()).signedPages,
  },
]
