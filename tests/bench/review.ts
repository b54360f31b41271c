// Benchmarks of the engineer's review: on the demo railway whether it finds what was planted, on a depot far larger than
// any how long its pages take and how much memory. Each measurement is taken in a process of its own, from a fresh start.

import { execFileSync } from 'node:child_process'
import { rmSync } from 'node:fs'
import path from 'node:path'
import { plantedTruths } from '../../server/demo/story/truths.ts'
import { driftsIn } from '../../server/review/drift/drifts.ts'
import { offendersOf } from '../../server/review/offenders.ts'
import { readPast } from '../../server/review/past.ts'
import { unitsIn } from '../../server/review/units.ts'
import { demoOf, NOW } from '../demo/make.ts'
import { makeLargeDepot } from './large-depot.ts'
import type { PageFigures } from './review-pages.ts'
import type { Bench } from './run.ts'
import { runFolder, shippedKnowledge } from './shared.ts'

const sizes = [50_000, 200_000, 1_000_000] as const
const large = 1_000_000
/** The best of three, since nothing makes a page faster than it is. */
const tries = 3

const seconds: Bench = {
  name: 'review-1m',
  unit: 's',
  goal: { at: 'most', value: 1 },
  run: () => figures(large).firstPageS,
}

const position: Bench = {
  name: 'position-1m',
  unit: 'ms',
  goal: { at: 'most', value: 50 },
  run: () => figures(large).positionMs,
}

const memory: Bench = {
  name: 'review-memory',
  unit: 'MB',
  goal: { at: 'most', value: 400 },
  run: () => figures(large).memoryMb,
}

const units: Bench = {
  name: 'review-units-1m',
  unit: 's',
  goal: { at: 'most', value: 1.5 },
  run: () => figures(large).unitsS,
}

const lists: Bench = {
  name: 'list-1m',
  unit: 's',
  goal: { at: 'most', value: 1 },
  run: () => figures(large).listS,
}

/** Of time against size on a log scale: 1 is in step with the data. */
const slope: Bench = {
  name: 'review-slope',
  unit: 'growth exponent',
  goal: { at: 'most', value: 1.05 },
  run: () => logSlope(sizes.map(size => [size, figures(size).firstPageS])),
}

/** Positions that keep failing, contacts that creep and units that carry their fault, over three invented railways. */
const planted: Bench = {
  name: 'planted-found',
  unit: 'share of planted truths',
  goal: { at: 'least', value: 1, counted: true },
  run: async () => {
    const shares: number[] = []
    for (const seed of [1, 2, 3]) shares.push(await foundShare(seed))
    return shares.reduce((a, b) => a + b, 0) / shares.length
  },
}

export const benches = [planted, seconds, position, memory, units, lists, slope]

async function foundShare(seed: number): Promise<number> {
  const { storage } = await demoOf(seed)
  const truths = plantedTruths(seed)
  const asAtMs = NOW.getTime()
  const past = readPast(storage.history, { fromMs: 0, toMs: asAtMs }, asAtMs)
  const seen = new Set([
    ...offendersOf(past).out.map(one => `failing ${one.position.id}`),
    ...driftsIn(storage.history, asAtMs).found.map(one => `drifting ${one.series.positionId}`),
    ...unitsIn(storage.history, asAtMs, id => id).carrying.map(one => `unit ${one.name.split(' ').at(-1)}`),
  ])
  const wanted = [
    ...truths.failing.map(id => `failing ${id}`),
    ...truths.drifting.map(id => `drifting ${id}`),
    ...truths.rogueSerials.map(serial => `unit ${serial}`),
  ]
  return wanted.filter(one => seen.has(one)).length / wanted.length
}

const measured = new Map<number, PageFigures>()

/** Each depot is made and measured once a run. */
function figures(faults: number): PageFigures {
  const before = measured.get(faults)
  if (before) return before
  const file = path.join(runFolder(), `review-${faults}.db`)
  makeLargeDepot(file, faults, shippedKnowledge(), 'none')
  const runs = Array.from({ length: tries }, () => pagesOf(file))
  const best = (of: (one: PageFigures) => number) => Math.min(...runs.map(of))
  const cost = {
    firstPageS: best(one => one.firstPageS),
    positionMs: best(one => one.positionMs),
    memoryMb: Math.max(...runs.map(one => one.memoryMb)),
    unitsS: best(one => one.unitsS),
    listS: best(one => one.listS),
  }
  for (const end of ['', '-wal', '-shm']) rmSync(file + end, { force: true })
  measured.set(faults, cost)
  return cost
}

function pagesOf(file: string): PageFigures {
  const script = path.join(import.meta.dirname, 'review-pages.ts')
  return JSON.parse(execFileSync(process.execPath, [script, file], { encoding: 'utf8' }))
}

function logSlope(points: [number, number][]): number {
  const logs = points.map(([x, y]) => [Math.log(x), Math.log(y)] as const)
  const mean = (i: 0 | 1) => logs.reduce((sum, point) => sum + point[i], 0) / logs.length
  const [mx, my] = [mean(0), mean(1)]
  const up = logs.reduce((sum, [x, y]) => sum + (x - mx) * (y - my), 0)
  return up / logs.reduce((sum, [x]) => sum + (x - mx) ** 2, 0)
}
