// Units that carry their fault with them from position to
// position, told apart from positions that spoil good units.

import { chanceWords, countWords, excessWords } from '../../words.ts'
import { type Explained, type Term, term } from '../explained.ts'
import { groupBy } from '../group-by.ts'
import { dayMs } from '../positions/exposure.ts'
import { type Exposed, leastLikelyFirst, type Tested, testWithKind } from '../positions/offenders.ts'
import { followSwaps, type Stay, type Swap } from './swaps.ts'

export type Carries = 'carries its fault' | 'the position is at fault' | 'cannot say' | 'like the rest'

/** The swaps of one unit, or of one position for one kind of unit. */
export interface SwapRecord {
  /** Serial-numbered unit, or position. */
  id: string
  kind: string
  stays: Stay[]
  swaps: Swap[]
  /** Days fitted, of all stays, of which faults are known. */
  fittedDays: number
  /**
   * Against others of its kind; its `serviceDays` are weighed by how hard units live in each kind of place.
   */
  compared: Tested
  /** Removals for a fault within `shortDays` of fitting. */
  shortStays: number
  testedGood: number
  /** The symptom it was most often taken out for, and how often. */
  commonSymptom: { symptom: string; times: number } | null
  /**
   * Swaps after which the same symptom showed with the unit at
   * its next position, or at the position with its next unit.
   */
  wentWithUnit: number
  stayedAtPosition: number
  verdict: Carries
}

export interface UnitOptions {
  asAtMs: number
  /** How long after fitting the same symptom counts as the same fault. */
  windowDays?: number
  shortDays?: number
  q?: number
  /** Only what stands out is followed through its swaps; of a hundred thousand units it is a handful. */
  only?: 'out'
}

/**
 * Every unit with the evidence, least likely by luck first: removals for a fault against fitted time, within
 * its kind, the time weighed by how often units of that kind fail in that kind of place.
 */
export function assessUnits(stays: readonly Stay[], options: UnitOptions): SwapRecord[] {
  return assess(
    stays,
    stay => stay.unitId,
    stay => stay.kind,
    options,
  )
}

/**
 * The same for positions, one record for each kind of unit
 * fitted there, against positions of the same equipment.
 */
export function assessPositions(stays: readonly Stay[], options: UnitOptions): SwapRecord[] {
  return assess(
    stays,
    stay => stay.positionId,
    stay => `${stay.kind}, ${stay.place}`,
    options,
  )
}

/** One record in plain words with its terms. */
export function explainSwaps(record: SwapRecord): Explained<Carries> {
  const { faults, expected, byLuck } = record.compared
  const removals = countWords(faults, 'removal for a fault', 'removals for a fault')
  const excess =
    expected === null || byLuck === null
      ? 'Nothing of the same kind to compare it with'
      : excessWords(removals, record.fittedDays, expected, record.compared)
  const followed = `went with the unit ${times(record.wentWithUnit)} and stayed at the position ${times(record.stayedAtPosition)}`
  return {
    value: record.verdict,
    words: `${excess}. The fault ${followed}: ${record.verdict}.`,
    terms: termsOf(record),
  }
}

function termsOf(record: SwapRecord): Term[] {
  const { faults, expected, byLuck, adjusted } = record.compared
  const { commonSymptom } = record
  return [
    term('stays', record.stays.length, 'times a unit was fitted'),
    term('removals', faults, 'times a unit was taken out for a fault'),
    term('expected', expected, 'what others of its kind would have had in the same time in such places'),
    term('by luck', byLuck, byLuck === null ? 'no others of its kind' : chanceWords(byLuck)),
    term('adjusted', adjusted, 'the same, adjusted for how many were looked at (Benjamini–Hochberg)'),
    term('short stays', record.shortStays, 'taken out for a fault soon after fitting'),
    term('tested good', record.testedGood, 'workshop visits that found nothing'),
    term('same symptom', commonSymptom?.times ?? 0, commonSymptom?.symptom ?? 'no removal for a fault'),
    term('went with unit', record.wentWithUnit, 'same symptom again at its next position'),
    term('stayed', record.stayedAtPosition, 'same symptom again at the old position with the next unit'),
  ]
}

type Name = (stay: Stay) => string

function assess(stays: readonly Stay[], idOf: Name, kindOf: Name, options: UnitOptions): SwapRecord[] {
  const { q = 0.05, only } = options
  const kept = testWithKind(exposedFrom(stays, idOf, kindOf, options.asAtMs), q)
    .filter(tested => only === undefined || tested.stands === only)
    .sort(leastLikelyFirst)
  const keptIds = new Set(kept.map(tested => tested.id))
  const keyOf = (stay: Stay) => `${kindOf(stay)}\u0000${idOf(stay)}`
  const staysOf = groupBy(
    stays.filter(stay => keptIds.has(idOf(stay))),
    keyOf,
  )
  const swapsOf = groupBy(swapsAmong(near(stays, [...staysOf.values()]), options), swap => keyOf(swap.stay))
  return kept.map(tested => {
    const key = `${tested.kind}\u0000${tested.id}`
    return recordOf(tested, staysOf.get(key) ?? [], swapsOf.get(key) ?? [], options)
  })
}

/** Removals for a fault against the time fitted, weighed, for each unit or position of each kind. */
function exposedFrom(stays: readonly Stay[], idOf: Name, kindOf: Name, asAtMs: number): Exposed[] {
  const weightOf = hardship(stays, asAtMs)
  const kinds = new Map<string, Map<string, Exposed>>()
  for (const stay of stays) {
    const kind = kindOf(stay)
    const all = kinds.get(kind) ?? new Map<string, Exposed>()
    kinds.set(kind, all)
    const id = idOf(stay)
    const totals = all.get(id) ?? { id, kind, faults: 0, serviceDays: 0 }
    all.set(id, totals)
    if (isForFault(stay)) totals.faults++
    totals.serviceDays += stayDays(stay, asAtMs) * weightOf(stay)
  }
  return [...kinds.values()].flatMap(all => [...all.values()])
}

function swapsAmong(stays: readonly Stay[], { asAtMs, windowDays = 180 }: UnitOptions): Swap[] {
  return followSwaps(stays, asAtMs, windowDays)
}

/** All stays of the units and at the positions that the followed ones name: what comes next is among them. */
function near(stays: readonly Stay[], followed: readonly Stay[][]): Stay[] {
  const units = new Set(followed.flat().map(stay => stay.unitId))
  const positions = new Set(followed.flat().map(stay => stay.positionId))
  return stays.filter(stay => units.has(stay.unitId) || positions.has(stay.positionId))
}

/**
 * How much oftener units of the stay's kind fail in its kind
 * of place than everywhere: 1 where nothing is known.
 */
function hardship(stays: readonly Stay[], asAtMs: number): (stay: Stay) => number {
  const kinds = new Map<string, { all: Lived; places: Map<string, Lived> }>()
  for (const stay of stays) {
    const ofKind = kinds.get(stay.kind) ?? { all: { faults: 0, days: 0 }, places: new Map<string, Lived>() }
    kinds.set(stay.kind, ofKind)
    const there = ofKind.places.get(stay.place) ?? { faults: 0, days: 0 }
    ofKind.places.set(stay.place, there)
    const [days, faults] = [stayDays(stay, asAtMs), isForFault(stay) ? 1 : 0]
    ofKind.all.days += days
    ofKind.all.faults += faults
    there.days += days
    there.faults += faults
  }
  const weights = new Map([...kinds].map(([kind, { all, places }]) => [kind, weightsOf(all, places)]))
  return ({ kind, place }) => weights.get(kind)?.get(place) ?? 1
}

function weightsOf(all: Lived, places: Map<string, Lived>): Map<string, number> {
  const usual = rateOf(all)
  return new Map([...places].map(([place, lived]) => [place, usual === 0 ? 1 : rateOf(lived) / usual]))
}

interface Lived {
  faults: number
  days: number
}

function rateOf({ faults, days }: Lived): number {
  return days === 0 ? 0 : faults / days
}

function recordOf(compared: Tested, stays: Stay[], swaps: Swap[], options: UnitOptions): SwapRecord {
  const { asAtMs, shortDays = 90 } = options
  const wentWithUnit = swaps.filter(s => s.unitAfter === 'same again').length
  const stayedAtPosition = swaps.filter(s => s.positionAfter === 'same again').length
  return {
    id: compared.id,
    kind: compared.kind,
    stays,
    swaps,
    fittedDays: stays.reduce((total, stay) => total + stayDays(stay, asAtMs), 0),
    compared,
    shortStays: stays.filter(s => isForFault(s) && stayDays(s, asAtMs) <= shortDays).length,
    testedGood: stays.filter(s => s.workshop === 'tested good').length,
    commonSymptom: commonSymptom(stays),
    wentWithUnit,
    stayedAtPosition,
    verdict: verdictOf(compared, wentWithUnit, stayedAtPosition),
  }
}

function isForFault(stay: Stay): boolean {
  return stay.removedFor !== null
}

function stayDays(stay: Stay, asAtMs: number): number {
  return stay.knownDays ?? Math.max(0, (stay.removedMs ?? asAtMs) - stay.fittedMs) / dayMs
}

function verdictOf(compared: Tested, went: number, stayed: number): Carries {
  if (compared.stands !== 'out') return 'like the rest'
  if (went > stayed) return 'carries its fault'
  return stayed > went ? 'the position is at fault' : 'cannot say'
}

function commonSymptom(stays: Stay[]): SwapRecord['commonSymptom'] {
  const groups = [...groupBy(stays.filter(isForFault), stay => stay.removedFor ?? '')]
  const counts = groups.map(([symptom, faults]) => ({ symptom, times: faults.length }))
  return counts.reduce<SwapRecord['commonSymptom']>(
    (best, c) => (best === null || c.times > best.times ? c : best),
    null,
  )
}

function times(count: number): string {
  return count === 0 ? 'never' : count === 1 ? 'once' : count === 2 ? 'twice' : countWords(count, 'time')
}
