// How good the record is, and which way each gap bends the figures.

import { percentWords } from '../words.ts'
import { type Explained, term } from './explained.ts'

export interface RecordedFault {
  id: string
  positionKnown: boolean
  positionId: string
  symptom: string
  reportedMs: number
  recordedMs: number
  closedMs: number | null
  /** Cause by code, or null. */
  cause: string | null
  /** Anything written about what was found. */
  freeText: boolean
  /** Not closed yet, so a cause is not expected. */
  open: boolean
}

export type Defect =
  | 'missing cause'
  | 'free text only'
  | 'late entry'
  | 'unknown position'
  | 'duplicate'
  | 'impossible times'

export interface QualityOptions {
  asAtMs: number
  lateAfterMs?: number
  duplicateWithinMs?: number
}

const bends: Record<Defect, string> = {
  'missing cause': 'counts by cause are too low, and the commonest causes look rarer than they are',
  'free text only': 'found causes are there but not counted; they can be coded later',
  'late entry': 'recent figures are too low until late entries are in, so a trend can look like improvement',
  'unknown position': 'the rate of some position is too low, and a repeat can go unseen',
  duplicate: 'rates and repeat shares are too high',
  'impossible times': 'these faults are left out of times to restore, which rest on fewer',
}

/**
 * Share of the faults with each defect. Streams; for duplicates (same position and symptom again within the
 * hour) the faults must come in order of time reported.
 */
export function dataQuality(
  faults: Iterable<RecordedFault>,
  options: QualityOptions,
): Record<Defect, Explained<number | null>> {
  const counts = new Map<Defect, number>()
  const last = new Map<string, number>()
  let n = 0
  for (const fault of faults) {
    n++
    for (const defect of defectsOf(fault, last, options)) counts.set(defect, (counts.get(defect) ?? 0) + 1)
  }
  const entries = (Object.keys(bends) as Defect[]).map(defect => [
    defect,
    explained(defect, counts.get(defect) ?? 0, n),
  ])
  return Object.fromEntries(entries) as Record<Defect, Explained<number | null>>
}

/**
 * What is wrong with one fault's record. `last`, empty at first,
 * remembers the latest report of each position and symptom.
 */
export function defectsOf(
  fault: RecordedFault,
  last: Map<string, number>,
  options: QualityOptions,
): Defect[] {
  const { asAtMs, lateAfterMs = 86_400_000, duplicateWithinMs = 3_600_000 } = options
  const key = `${fault.positionId}\u0000${fault.symptom}`
  const previous = last.get(key)
  last.set(key, fault.reportedMs)
  const uncoded = !fault.open && fault.cause === null
  const defects: [Defect, boolean][] = [
    ['missing cause', uncoded && !fault.freeText],
    ['free text only', uncoded && fault.freeText],
    ['late entry', fault.recordedMs - fault.reportedMs > lateAfterMs],
    ['unknown position', !fault.positionKnown],
    ['duplicate', previous !== undefined && fault.reportedMs - previous <= duplicateWithinMs],
    [
      'impossible times',
      fault.reportedMs > asAtMs || (fault.closedMs !== null && fault.closedMs < fault.reportedMs),
    ],
  ]
  return defects.filter(([, holds]) => holds).map(([defect]) => defect)
}

function explained(defect: Defect, count: number, n: number): Explained<number | null> {
  const terms = [term(defect, count, bends[defect]), term('faults', n, 'faults looked at, n')]
  if (n === 0) return { value: null, words: 'No faults to look at.', terms }
  return { value: count / n, words: `${percentWords(count / n)} of ${n}: ${bends[defect]}`, terms }
}
