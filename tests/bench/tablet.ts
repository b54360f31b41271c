// What a tablet takes along into a shift without signal, as it comes over the wire.

import { copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import { get } from 'node:http'
import path from 'node:path'
import request from 'supertest'
import { demoPeople } from '../../server/demo/railway/people.ts'
import { serveDemo } from '../../server/demo/serve.ts'
import { killedShift } from '../support/killed-shift.ts'
import { demoFile } from './pages.ts'
import type { Bench } from './run.ts'
import { runFolder } from './shared.ts'

export const benches: Bench[] = [
  {
    ...{ name: 'tablet-first-kb', unit: 'kB', goal: { at: 'most', value: 700 } },
    run: () =>
      onDemo(async ask => {
        const worker = await ask('/tablet-worker.js')
        const sqlite = /\/tablet\/sqlite3\.wasm\?v=\w+/.exec(worker.text)?.[0]
        if (!sqlite) throw new Error('The worker names no SQLite.')
        return (worker.bytes + (await ask(sqlite)).bytes) / 1000
      }),
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
    ...{ name: 'tablet-copy-kb', unit: 'kB', goal: { at: 'most', value: 600 } },
    run: () => onDemo(async ask => (await ask('/tablet/copy')).bytes / 1000),
  },
]

type Ask = (address: string) => Promise<{ bytes: number; text: string }>

/** The demo, and a technician signed in who asks for something packed. */
async function onDemo<T>(measure: (ask: Ask) => Promise<T>): Promise<T> {
  const dir = mkdtempSync(path.join(runFolder(), 'demo-'))
  copyFileSync(await demoFile(), path.join(dir, 'demo.db'))
  const running = await serveDemo(dir, { PORT: '0', LOG_LEVEL: 'silent' })
  try {
    const cookie = await signIn(running.address)
    return await measure(async address => {
      const whole = await fetch(running.address + address, { headers: { cookie } })
      return { bytes: await packedBytes(running.address + address, cookie), text: await whole.text() }
    })
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
