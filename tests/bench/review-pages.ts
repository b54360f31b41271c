// Run by itself: opens a large depot, looks at the review as an engineer would, and prints what it cost.

import { readFileSync } from 'node:fs'
import type { AddressInfo } from 'node:net'
import path from 'node:path'
import pino from 'pino'
import { createApp } from '../../server/app.ts'
import { createAttempts } from '../../server/auth/attempts.ts'
import { createSecrets } from '../../server/auth/scrypt.ts'
import { createSession } from '../../server/auth/sessions.ts'
import { readConfig } from '../../server/config.ts'
import { openLibrary } from '../../server/library.ts'
import { openDatabase } from '../../server/storage/engine/database.ts'
import { schemaVersion } from '../../server/storage/engine/migrate.ts'
import { createStorage } from '../../server/storage/storage.ts'
import { createTimes } from '../../server/times.ts'
import type { Deps } from '../../server/web/deps.ts'
import { createNodeHost } from '../../server/web/host/node-host.ts'
import { depotNow } from './large-depot.ts'

export interface PageFigures {
  /** The first page of the review, the first time it is asked for. */
  firstPageS: number
  /** A position's page: the middle of two hundred. */
  positionMs: number
  /** The most the process held at any time up to then. */
  memoryMb: number
  /** The page of the units, the first time it is asked for. */
  unitsS: number
  /** The slowest of the lists that technicians see: faults, rounds due, sites. */
  listS: number
}

const positions = 200

async function measure(file: string): Promise<PageFigures> {
  const began = Date.now()
  const clock = () => new Date(depotNow + Date.now() - began)
  const config = readConfig({ LOG_LEVEL: 'silent', RATE_PER_MINUTE: '0' })
  const db = openDatabase(file)
  const storage = createStorage(db, clock)
  const viewsDir = path.join(import.meta.dirname, '../../views')
  const deps: Deps = {
    ...{ config, storage, clock, library: openLibrary(storage, 'knowledge'), log: pino({ level: 'silent' }) },
    ...{
      times: createTimes(config.timeZone),
      attempts: createAttempts(clock),
      secrets: createSecrets(),
      demoNotice: null,
    },
    ...{ schemaVersion: () => schemaVersion(db), viewsDir, host: createNodeHost(config, viewsDir) },
  }
  const cookie = `fourfoot=${createSession(deps, 'engineer')}`
  const server = createApp(deps).listen(0, '127.0.0.1')
  await new Promise(resolve => server.once('listening', resolve))
  const { port } = server.address() as AddressInfo
  const look = async (address: string): Promise<number> => {
    const from = performance.now()
    const page = await fetch(`http://127.0.0.1:${port}${address}`, {
      headers: { cookie },
      redirect: 'manual',
    })
    await page.text()
    if (page.status !== 200) throw new Error(`${address} answered ${page.status}.`)
    return performance.now() - from
  }
  await look('/look') // what every page needs is read once, before anything is asked of the history
  const firstPageS = (await look('/review')) / 1000
  const count = storage.history.positions().length
  const times: number[] = []
  for (let i = 0; i < positions; i++) times.push(await look(`/review/positions/p${(i * 7919) % count}`))
  const memoryMb = mostHeldMb()
  const unitsS = (await look('/review/units')) / 1000
  const lists = [await look('/faults'), await look('/rounds'), await look('/sites')]
  server.close()
  server.closeAllConnections()
  db.close()
  times.sort((a, b) => a - b)
  return {
    firstPageS,
    positionMs: times[positions / 2] ?? 0,
    memoryMb,
    unitsS,
    listS: Math.max(...lists) / 1000,
  }
}

/**
 * As Linux keeps it for this program alone. What getrusage(2) gives is carried over a fork and an exec (see its ru_maxrss), so
 * it would count what the process that made the depot held.
 */
function mostHeldMb(): number {
  const kb = /^VmHWM:\s+(\d+) kB$/m.exec(readFileSync('/proc/self/status', 'utf8'))?.[1]
  if (kb === undefined) throw new Error('The system does not say how much memory was held.')
  return (Number(kb) * 1024) / 1e6
}

if (process.argv[1] === import.meta.filename)
  console.log(JSON.stringify(await measure(process.argv[2] ?? '')))
