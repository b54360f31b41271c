// The program under two hundred tablets on a database of a million findings, beside a bare Express in the same run. Each
// ratio is taken from turns that go back and forth, the best of each side, so that what else the machine does hurts both.

import { mkdtempSync } from 'node:fs'
import { join } from 'node:path'
import type { Bench } from './run.ts'
import { runFolder } from './shared.ts'
import { IN_HAND, TABLETS } from './web-load/depot.ts'
import { makeLarge, type Standing, standing } from './web-load/large.ts'
import type { Asked, Load, Measured } from './web-load/load.ts'
import { all, page, record } from './web-load/pages.ts'
import { load, type Served, serve } from './web-load/processes.ts'

const MILLION = 1_000_000
const TURNS = 4
const SECONDS = 4

/** Made once a run, which takes some minutes for a million. */
export function largeDatabase(findings: number): string {
  const path = join(runFolder(), `depot-${findings}.db`)
  makeLarge(path, findings)
  return path
}

/** Stops with words when answers are not what was to be measured. */
function mustBe(status: string, measured: Measured): Measured {
  const wrong = Object.keys(measured.statuses).filter(one => one !== status)
  if (wrong.length > 0)
    throw new Error(`Answers were ${JSON.stringify(measured.statuses)}, expected ${status}.`)
  return measured
}

async function served<T>(findings: number, use: (ours: Served) => Promise<T>): Promise<T> {
  const ours = await serve('serve.ts', largeDatabase(findings))
  try {
    return await use(ours)
  } finally {
    await ours.stop()
  }
}

async function beside<T>(bytes: number, use: (peer: Served) => Promise<T>): Promise<T> {
  const peer = await serve('peer.ts', String(bytes), join(mkdtempSync(join(runFolder(), 'peer-')), 'peer.db'))
  try {
    return await use(peer)
  } finally {
    await peer.stop()
  }
}

/** Ours and the peer's in turn; the best of each, so the first turns warm up both. */
async function ratio(ours: () => Promise<number>, peers: () => Promise<number>): Promise<number> {
  const best = { ours: 0, peer: 0 }
  for (let turn = 0; turn < TURNS; turn++) {
    best.ours = Math.max(best.ours, await ours())
    best.peer = Math.max(best.peer, await peers())
  }
  console.error(`  ours ${best.ours.toFixed(0)} a second, the bare peer ${best.peer.toFixed(0)} a second`)
  return best.ours / best.peer
}

async function checkPageRatio(): Promise<number> {
  const where = standing()
  // Of a fault that no other figure records anything at: the form, not what was found.
  const pages = all(tablet => [page(where, tablet, 39)])
  return served(MILLION, async ours => {
    const { address } = ours
    const first = mustBe('200', await load({ address, tablets: pages, once: true, seconds: 60, rate: 0 }))
    const asked = { tablets: pages, once: false, seconds: SECONDS, rate: 0 }
    return beside(Math.round(first.bytes / first.requests), peer => {
      const bare = all(() => [{ method: 'GET' as const, path: '/page', headers: {} }])
      return ratio(
        () => perProcessorSecond(ours, { ...asked, address }),
        () => perProcessorSecond(peer, { ...asked, address: peer.address, tablets: bare }),
      )
    })
  })
}

/**
 * Requests a second of processor time. A page waits for nothing else, so on a machine of its own this is what it answers
 * a second; on a shared one it is what it would.
 */
async function perProcessorSecond(server: Served, asked: Load): Promise<number> {
  const before = await server.usage()
  const measured = mustBe('200', await load(asked))
  return (measured.requests * 1000) / ((await server.usage()).cpuMs - before.cpuMs)
}

/** Which faults in hand are still free to take a reading; a run uses up some of them. */
let used = 0
const freeRecords = (where: Standing, many: number): Asked[][] => {
  const from = used
  used += many
  if (used > IN_HAND) throw new Error('The faults in hand are used up.')
  return all(tablet => Array.from({ length: many }, (_, n) => record(where, tablet, from + n)))
}

async function recordRatio(): Promise<number> {
  const where = standing()
  return served(MILLION, ours =>
    beside(1000, peer => {
      const writes = () =>
        all(() => [
          { method: 'POST' as const, path: '/write', headers: {}, body: record(where, 0, 0).body ?? '' },
        ])
      const asked = { once: true, seconds: 60, rate: 0 }
      return ratio(
        async () => answered(await load({ ...asked, address: ours.address, tablets: freeRecords(where, 3) })),
        async () =>
          answered(
            await load({
              ...asked,
              address: peer.address,
              tablets: writes().map(one => [...one, ...one, ...one]),
            }),
          ),
      )
    }),
  )
}

const answered = (measured: Measured) => mustBe('303', measured).perSecond

/**
 * Every tablet looks at pages, squeezed as browsers ask for them, and records now and then: a request every four
 * seconds, one in eight a reading.
 */
export async function mixed(ours: Served, seconds: number, readings: Asked[][]): Promise<Measured> {
  const where = standing()
  const tablets = readings.map((mine, tablet) =>
    mine.flatMap((reading, n) => [
      ...Array.from({ length: 7 }, (_, look) => squeezed(page(where, tablet, (n + look) % IN_HAND))),
      reading,
    ]),
  )
  return load({ address: ours.address, tablets, once: false, seconds, rate: TABLETS / 4 })
}

const squeezed = (asked: Asked): Asked => ({
  ...asked,
  headers: { ...asked.headers, 'Accept-Encoding': 'gzip' },
})

async function p99(): Promise<number> {
  return served(MILLION, async ours => {
    const readings = freeRecords(standing(), 4)
    await mixed(ours, 10, readings) // warm
    const measured = await mixed(ours, 40, readings)
    console.error(
      `  ${measured.requests} requests, half within ${measured.p50.toFixed(1)} ms, longest ${measured.longest.toFixed(0)} ms`,
    )
    return measured.p99
  })
}

async function memory(): Promise<number> {
  return served(MILLION, async ours => {
    const readings = freeRecords(standing(), 4)
    await mixed(ours, 20, readings)
    return (await ours.usage()).rss / 2 ** 20
  })
}

async function start(): Promise<number> {
  const times: number[] = []
  for (let turn = 0; turn < 5; turn++) times.push(await served(MILLION, async ours => ours.startMs / 1000))
  return Math.min(...times)
}

/** How much longer the check page takes, in processor time, when there are ten times as many findings. */
async function slope(): Promise<number> {
  const where = standing()
  const perPage = async (findings: number) =>
    served(findings, async ours => {
      const asked = { address: ours.address, once: true, seconds: 60, rate: 0 }
      // What is read once after a start is read; with faults that no other figure has recorded anything at.
      mustBe('200', await load({ ...asked, tablets: all(tablet => [page(where, tablet, 38)]) }))
      const before = await ours.usage()
      // Faults nobody has looked at yet: everything is read.
      const measured = mustBe(
        '200',
        await load({ ...asked, tablets: all(t => [page(where, t, 36), page(where, t, 37)]) }),
      )
      return ((await ours.usage()).cpuMs - before.cpuMs) / measured.requests
    })
  const [small, large] = [await perPage(10_000), await perPage(MILLION)]
  console.error(
    `  first look at a check page: ${small.toFixed(2)} ms at 10 000 findings, ${large.toFixed(2)} ms at 1 000 000`,
  )
  return (large / small) ** (1 / 2)
}

export const benches: Bench[] = [
  {
    name: 'check-page-ratio',
    unit: 'of a bare page',
    goal: { at: 'least', value: 0.8 },
    run: checkPageRatio,
  },
  { name: 'record-ratio', unit: 'of a bare insert', goal: { at: 'least', value: 0.8 }, run: recordRatio },
  { name: 'p99-200-tablets', unit: 'ms', goal: { at: 'most', value: 20 }, run: p99 },
  { name: 'memory-1m', unit: 'MB', goal: { at: 'most', value: 250 }, run: memory },
  { name: 'start-1m', unit: 's', goal: { at: 'most', value: 1 }, run: start },
  { name: 'slope-page', unit: 'times per tenfold', goal: { at: 'most', value: 1.2 }, run: slope },
]
