// What a tablet takes along into a shift without signal, as it comes over the wire.

import { copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import { get } from 'node:http'
import path from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import request from 'supertest'
import { demoPeople } from '../../server/demo/railway/people.ts'
import { serveDemo } from '../../server/demo/serve.ts'
import { openBrowser } from '../support/browser.ts'
import { killedShift } from '../support/killed-shift.ts'
import { triedOrders } from '../support/merge-laws.ts'
import { askBoth, bothHosts, shownRoutes } from '../support/same-pages.ts'
import { demoFile } from './pages.ts'
import type { Bench } from './run.ts'
import { runFolder } from './shared.ts'

export const benches: Bench[] = [
  {
    ...{ name: 'tablet-first-kb', unit: 'kB', goal: { at: 'most', value: 700 } },
    run: () => onDemo(firstBytes).then(bytes => bytes / 1000),
  },
  {
    // Entries that are missing or doubled after 100 kills at random moments.
    ...{ name: 'shift-lost', unit: 'acts', goal: { at: 'most', value: 0, counted: true } },
    run: async () => {
      const { entered, recorded, unsent } = await killedShift(100, Math.random)
      const lost = entered.filter(item => recorded.filter(one => one === item).length !== 1)
      return lost.length + unsent
    },
  },
  {
    // Orders of arrival, of 10,000 tried, that give another record or lose an act.
    ...{ name: 'merge-laws', unit: 'orders', goal: { at: 'most', value: 0, counted: true } },
    run: async () => (await triedOrders(10_000, Math.random)).broken.length,
  },
  {
    // Addresses of a tablet whose page is another one than the depot's.
    ...{ name: 'same-pages', unit: 'addresses', goal: { at: 'most', value: 0, counted: true } },
    run: async () => {
      const hosts = await bothHosts()
      let differ = 0
      for (const route of shownRoutes) {
        const { depot, tablet } = await askBoth(hosts, route)
        if (JSON.stringify(depot) !== JSON.stringify(tablet)) differ += 1
      }
      hosts.target.site.db.close()
      return differ
    },
  },
  {
    // After the browser has stopped the worker, as it does when nothing is asked for half a minute.
    ...{ name: 'tablet-cold-ms', unit: 'ms', goal: { at: 'most', value: 350 } },
    run: () => onDemo(async (ask, depot) => (await firstBytes(ask)) && pageFromTablet(depot, true)),
  },
  {
    ...{ name: 'tablet-page-ms', unit: 'ms', goal: { at: 'most', value: 60 } },
    run: () => onDemo(async (ask, depot) => (await firstBytes(ask)) && pageFromTablet(depot, false)),
  },
  {
    ...{ name: 'tablet-copy-kb', unit: 'kB', goal: { at: 'most', value: 600 } },
    run: () => onDemo(async ask => (await ask('/tablet/copy')).bytes / 1000),
  },
]

/** Of the worker and SQLite, which the depot packs when they are first asked for. */
async function firstBytes(ask: Ask): Promise<number> {
  const worker = await ask('/tablet-worker.js')
  const sqlite = /\/tablet\/sqlite3\.wasm\?v=\w+/.exec(worker.text)?.[0]
  if (!sqlite) throw new Error('The worker names no SQLite.')
  return worker.bytes + (await ask(sqlite)).bytes
}

interface Depot {
  address: string
  /** Of a technician who is signed in. */
  cookie: string
}

/** The middle one of several times of an open fault's page from the tablet, the network off; ms. */
async function pageFromTablet({ address, cookie }: Depot, cold: boolean): Promise<number> {
  const browser = await openBrowser()
  try {
    const context = await browser.newContext()
    const cookies = cookie.split('; ').map(pair => pair.split('='))
    await context.addCookies(cookies.map(([name = '', value = '']) => ({ name, value, url: address })))
    const page = await context.newPage()
    await page.goto(`${address}/tablet`)
    await page.getByRole('button', { name: 'Carry the shift on this tablet' }).click()
    await page.getByText('Ready: this tablet works without signal.').waitFor()
    await page.goto(`${address}/faults`)
    const fault = await page.locator('main a[href^="/faults/"]').first().getAttribute('href')
    await context.setOffline(true)
    const devtools = await context.newCDPSession(page)
    await devtools.send('ServiceWorker.enable')
    const times: number[] = []
    for (let turn = 0; turn < 12; turn += 1) {
      if (cold) await devtools.send('ServiceWorker.stopAllWorkers')
      if (cold) await pause(300)
      times.push(await page.evaluate(timed, address + fault))
    }
    return times.slice(2).sort((a, b) => a - b)[5] ?? Number.NaN
  } finally {
    await browser.close()
  }
}

async function timed(address: string): Promise<number> {
  const from = performance.now()
  const answer = await fetch(address, { headers: { Accept: 'text/html' } })
  await answer.text()
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`)
  return performance.now() - from
}

type Ask = (address: string) => Promise<{ bytes: number; text: string }>

/** The demo, and a technician signed in who asks for something packed. */
async function onDemo<T>(measure: (ask: Ask, depot: Depot) => Promise<T>): Promise<T> {
  const dir = mkdtempSync(path.join(runFolder(), 'demo-'))
  copyFileSync(await demoFile(), path.join(dir, 'demo.db'))
  const running = await serveDemo(dir, { PORT: '0', LOG_LEVEL: 'silent' })
  try {
    const cookie = await signIn(running.address)
    const ask: Ask = async address => {
      const whole = await fetch(running.address + address, { headers: { cookie } })
      return { bytes: await packedBytes(running.address + address, cookie), text: await whole.text() }
    }
    return await measure(ask, { address: running.address, cookie })
  } finally {
    await running.close()
    rmSync(dir, { recursive: true })
  }
}

async function signIn(address: string): Promise<string> {
  const someone = demoPeople.find(one => one.role === 'technician')
  const sent = request(address).post('/sign-in').type('form').set('Sec-Fetch-Site', 'same-origin')
  const answer = await sent.send({ name: someone?.name ?? '', pin: someone?.pin ?? '' })
  const set = answer.headers['set-cookie'] as unknown as string[]
  const given = set.map(line => line.split(';')[0] ?? '')
  // One before is taken away with an empty value.
  return given.filter(pair => !pair.endsWith('=')).join('; ')
}

function packedBytes(address: string, cookie: string): Promise<number> {
  return new Promise((resolve, reject) => {
    get(address, { headers: { cookie, 'Accept-Encoding': 'br' } }, answer => {
      if (answer.statusCode !== 200) reject(new Error(`${address}: ${answer.statusCode}`))
      let bytes = 0
      answer.on('data', (part: Buffer) => {
        bytes += part.length
      })
      answer.on('end', () => resolve(bytes))
      answer.on('error', reject)
    }).on('error', reject)
  })
}
