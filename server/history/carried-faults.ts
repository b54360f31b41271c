// Units that carry their fault with them from position to position, told apart from positions that spoil good units.

import { type Explained, type Term, term } from './explained.ts'
import { dayMs } from './exposure.ts'
import { groupBy } from './group-by.ts'
import { type Compared, compareWithKind } from './offenders.ts'
import { chanceWords, countWords, excessWords } from './plain-words.ts'
import { followSwaps, type Stay, type Swap } from './swaps.ts'

export type Carries = 'carries its fault' | 'the position is at fault' | 'cannot say' | 'like the rest'

/** The swaps of one unit, or of one position for one kind of unit. */
export interface SwapRecord {
  /** Serial-numbered unit, or position. */
  id: string
  kind: string
  stays: Stay[]
  swaps: Swap[]
  /** Days fitted, of all stays. */
  fittedDays: number
  /** Against others of its kind; its `serviceDays` are weighed by how hard units live in each kind of place. */
  compared: Compared
  /** Removals for a fault within `shortDays` of fitting. */
  shortStays: number
  testedGood: number
  /** The symptom it was most often taken out for, and how often. */
  commonSymptom: { symptom: string; times: number } | null
  /** Swaps after which the same symptom showed with the unit at its next position, or at the position with its next unit. */
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
}

/**
 * Every unit with the evidence, least likely by luck first: removals for a fault against fitted time, within its kind,
 * the time weighed by how often units of that kind fail in that kind of place.
 */
export function assessUnits(stays: readonly Stay[], options: UnitOptions): SwapRecord[] {
  return assess(
    stays,
    stay => stay.unitId,
    stay => stay.kind,
    options,
  )
}

/** The same for positions, one record for each kind of unit fitted there, against positions of the same equipment. */
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
      : excessWords(removals, record.fittedDays, expected, byLuck)
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
  const { asAtMs, windowDays = 180, q = 0.05 } = options
  const keyOf = (stay: Stay) => `${kindOf(stay)}\u0000${idOf(stay)}`
  const swapsOf = groupBy(followSwaps(stays, asAtMs, windowDays), swap => keyOf(swap.stay))
  const staysOf = groupBy(stays, keyOf)
  const weightOf = hardship(stays, asAtMs)
  const exposed = [...staysOf].map(([id, own]) => ({
    id,
    kind: own[0] === undefined ? '' : kindOf(own[0]),
    faults: own.filter(isForFault).length,
    serviceDays: own.reduce((total, stay) => total + stayDays(stay, asAtMs) * weightOf(stay), 0),
  }))
  return compareWithKind(exposed, q).map(compared => {
    const id = compared.id.slice(compared.kind.length + 1)
    return recordOf(
      { ...compared, id },
      staysOf.get(compared.id) ?? [],
      swapsOf.get(compared.id) ?? [],
      options,
    )
  })
}

/** How much oftener units of the stay's kind fail in its kind of place than everywhere: 1 where nothing is known. */
function hardship(stays: readonly Stay[], asAtMs: number): (stay: Stay) => number {
  const rateOf = (own: Stay[]) => {
    const days = own.reduce((total, stay) => total + stayDays(stay, asAtMs), 0)
    return days === 0 ? 0 : own.filter(isForFault).length / days
  }
  const placeOf = (stay: Stay) => `${stay.kind}\u0000${stay.place}`
  const everywhere = new Map([...groupBy(stays, stay => stay.kind)].map(([kind, own]) => [kind, rateOf(own)]))
  const there = new Map([...groupBy(stays, placeOf)].map(([place, own]) => [place, rateOf(own)]))
  return stay => {
    const usual = everywhere.get(stay.kind) ?? 0
    return usual === 0 ? 1 : (there.get(placeOf(stay)) ?? 0) / usual
  }
}

function recordOf(compared: Compared, stays: Stay[], swaps: Swap[], options: UnitOptions): SwapRecord {
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
  return Math.max(0, (stay.removedMs ?? asAtMs) - stay.fittedMs) / dayMs
}

function verdictOf(compared: Compared, went: number, stayed: number): Carries {
  if (compared.stands !== 'out') return 'like the rest'
  if (went > stayed) return 'carries its fault'
  return stayed > went ? 'the position is at fault' : 'cannot say'
}

function commonSymptom(stays: Stay[]): SwapRecord['commonSymptom'] {
  const groups = [...groupBy(stays.filter(isForFault), stay => stay.removedFor ?? '')]
  const counts = groups.map(([symptom, own]) => ({ symptom, times: own.length }))
  return counts.reduce<SwapRecord['commonSymptom']>(
    (best, c) => (best === null || c.times > best.times ? c : best),
    null,
  )
}

function times(count: number): string {
  return count === 0 ? 'never' : count === 1 ? 'once' : count === 2 ? 'twice' : countWords(count, 'time')
}
