// Units that carry their fault with them, and positions that spoil good units.

import type { Window } from '../history/basis.ts'
import type { Explained } from '../history/explained.ts'
import { isKnown, knownMs } from '../history/known.ts'
import { explainNothingFound, nothingFoundByGroup } from '../history/no-fault-found.ts'
import { dayMs } from '../history/positions/exposure.ts'
import {
  assessPositions,
  assessUnits,
  explainSwaps,
  type SwapRecord,
} from '../history/units/carried-faults.ts'
import type { Stay } from '../history/units/swaps.ts'
import type { History } from '../storage/storage.ts'
import { faultSpans } from './past.ts'

export interface SwapEntry {
  name: string
  record: SwapRecord
  explained: Explained<string>
}

export interface UnitFigures {
  units: number
  stays: number
  removals: number
  /** Those that stand out, least likely by luck first. */
  carrying: SwapEntry[]
  spoiling: SwapEntry[]
  testedGood: { group: string; explained: Explained<number | null> }[]
}

/**
 * Over all known time, as a unit's life is longer than a window: a unit that stood for years while no faults were
 * recorded has not shown that it is good.
 */
export function unitsIn(
  history: History,
  asAtMs: number,
  namePosition: (id: string) => string,
  nameSymptom: (tree: string) => string = tree => tree,
): UnitFigures {
  const spans = faultSpans(history, asAtMs)
  const lastMs = spans.at(-1)?.toMs ?? asAtMs
  const stays = history.stays().flatMap(stay => whereKnown(stay, spans))
  const units = assessUnits(stays, { asAtMs: lastMs, only: 'out' })
  const positions = assessPositions(stays, { asAtMs: lastMs, only: 'out' })
  const names = history.unitNames(units.map(record => record.id))
  const entry = (record: SwapRecord, name: string): SwapEntry => ({
    name,
    record,
    explained: withSymptom(explainSwaps(record), nameSymptom),
  })
  const removed = stays.filter(stay => stay.removedFor !== null)
  const outcomes = removed.map(({ kind, workshop }) => ({
    group: kind,
    nothingFound: workshop === 'tested good' ? true : workshop === 'repaired' ? false : null,
  }))
  return {
    units: new Set(stays.map(stay => stay.unitId)).size,
    stays: stays.length,
    removals: removed.length,
    carrying: units.filter(hasComeBack).map(record => entry(record, names.get(record.id) ?? record.id)),
    spoiling: positions.map(record => entry(record, namePosition(record.id))),
    testedGood: nothingFoundByGroup(outcomes).map(row => ({
      group: row.group,
      explained: explainNothingFound(row, 'unit'),
    })),
  }
}

/** The symptom as its fault tree names it. */
function withSymptom<T>(explained: Explained<T>, nameSymptom: (tree: string) => string): Explained<T> {
  const named = explained.terms.map(term =>
    term.name === 'same symptom' && term.value !== 0 ? { ...term, words: nameSymptom(term.words) } : term,
  )
  return { ...explained, terms: named }
}

/**
 * A unit taken out once carries nothing from place to place, however soon after the record begins that was: of some
 * hundred units one or two fail in its first days.
 */
function hasComeBack({ compared }: SwapRecord): boolean {
  return compared.faults > 1
}

/** A stay with its known days; none where it lies in no known time. What it was taken out for counts only in such. */
function whereKnown(stay: Stay, spans: readonly Window[]): Stay[] {
  const knownDays = knownMs(spans, { fromMs: stay.fittedMs, toMs: stay.removedMs ?? Infinity }) / dayMs
  const counts = stay.removedMs !== null && isKnown(spans, stay.removedMs)
  if (knownDays === 0 && !counts) return []
  return [{ ...stay, knownDays, removedFor: counts ? stay.removedFor : null }]
}
