// An invented railway on which nothing is wrong: every position of a kind fails at the same steady rate, units are
// alike, readings only scatter, and weather, work and shared supplies make no difference.

import { dayMs } from '../../server/history/positions/exposure.ts'
import type { SeriesReading } from '../../server/history/readings/series.ts'
import type { Work } from '../../server/history/time/after-work.ts'
import type { Stay } from '../../server/history/units/swaps.ts'
import { type Chance, seeded } from './chance.ts'

export interface QuietRailway {
  asAtMs: number
  positions: { id: string; kind: string; site: number; fromMs: number }[]
  faults: { id: string; positionId: string; kind: string; symptom: string; atMs: number }[]
  stays: Stay[]
  works: Work[]
  series: { id: string; check: string; readings: SeriesReading[]; breaks: [] }[]
}

const years = 3
const end = years * 365 * dayMs
const kinds = [
  ['overspeed loops', 0.4],
  ['train-stop loops', 0.7],
  ['power supply', 1.1],
] as const
const symptoms = ['output dead', 'weak field', 'no drive'] as const

/** 360 positions at 60 sites for three years; about 700 faults, 350 swaps and 720 series of readings. */
export function quietRailway(seed: number): QuietRailway {
  const chance = seeded(seed * 7919 + 17)
  const positions = Array.from({ length: 360 }, (_, i) => ({
    id: `P${i}`,
    kind: kinds[i % 3]?.[0] ?? '',
    site: Math.floor(i / 6),
    fromMs: chance.next() < 0.2 ? chance.next() * 0.8 * end : 0,
  }))
  const faults = positions.flatMap(p => faultsOf(p, chance)).sort((a, b) => a.atMs - b.atMs)
  return {
    asAtMs: end,
    positions,
    faults,
    stays: swapUnits(positions, faults, chance),
    works: worksOf(positions, chance),
    series: positions.flatMap(p =>
      ['supply voltage', 'loop current'].map(check => seriesOf(p.id, check, p.fromMs, chance)),
    ),
  }
}

function faultsOf(position: QuietRailway['positions'][number], chance: Chance): QuietRailway['faults'] {
  const perYear = kinds.find(([kind]) => kind === position.kind)?.[1] ?? 1
  const faults: QuietRailway['faults'] = []
  const gap = () => chance.exponential((365 * dayMs) / perYear)
  for (let atMs = position.fromMs + gap(); atMs < end; atMs += gap()) {
    const symptom = symptoms[chance.below(3)] ?? symptoms[0]
    faults.push({
      id: `${position.id}-${faults.length}`,
      positionId: position.id,
      kind: position.kind,
      symptom,
      atMs,
    })
  }
  return faults
}

/** Half the faults change the unit for one out of the stores; the old one comes back to the stores, tested or mended. */
function swapUnits(
  positions: QuietRailway['positions'],
  faults: QuietRailway['faults'],
  chance: Chance,
): Stay[] {
  let made = 0
  const stores: string[] = Array.from({ length: 30 }, () => `U${made++}`)
  const fitted = new Map<string, Stay>()
  const stays: Stay[] = []
  const install = ({ id, kind }: QuietRailway['positions'][number], unitId: string, fittedMs: number) => {
    const stay: Stay = {
      unitId,
      kind: 'module',
      positionId: id,
      place: kind,
      fittedMs,
      removedMs: null,
      removedFor: null,
      workshop: null,
    }
    fitted.set(id, stay)
    stays.push(stay)
  }
  const positionOf = new Map(positions.map(p => [p.id, p]))
  for (const p of positions) install(p, `U${made++}`, p.fromMs)
  for (const fault of faults) {
    const position = positionOf.get(fault.positionId)
    const old = fitted.get(fault.positionId)
    if (old === undefined || position === undefined || chance.next() < 0.5) continue
    old.removedMs = fault.atMs
    old.removedFor = fault.symptom
    old.workshop = chance.next() < 0.4 ? 'tested good' : 'repaired'
    const [unit] = stores.splice(chance.below(stores.length), 1)
    install(position, unit ?? `U${made++}`, fault.atMs)
    stores.push(old.unitId)
  }
  return stays
}

function worksOf(positions: QuietRailway['positions'], chance: Chance): Work[] {
  return positions.flatMap(p =>
    Array.from({ length: chance.poisson(years) }, (_, i) => ({
      id: `W${p.id}-${i}`,
      positionId: p.id,
      atMs: p.fromMs + chance.next() * (end - p.fromMs),
      words: 'planned work',
    })),
  )
}

/** A reading a quarter, to a tenth; one in twenty is not a number. */
function seriesOf(
  positionId: string,
  check: string,
  fromMs: number,
  chance: Chance,
): QuietRailway['series'][number] {
  const level = 105 + 10 * chance.next()
  const readings: SeriesReading[] = []
  for (let atMs = fromMs; atMs < end; atMs += 91 * dayMs) {
    const value = chance.next() < 0.05 ? null : Number((level + 1.5 * chance.normal()).toFixed(1))
    readings.push({ atMs: atMs + 10 * dayMs * chance.next(), value, min: 99, max: 121 })
  }
  return { id: `${positionId} ${check}`, check, readings, breaks: [] }
}
