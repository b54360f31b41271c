// Reading against range: where it lies, how sure that is, and why, in words.
//
// Four zones with a guard band of the expanded uncertainty, after ILAC-G8:09/2019 4.2.3; chance of conformity
// after JCGM 106:2012; expanded with k = 2. Without an instrument the simple rule: the number as it stands.

import { type Accuracy, accuracyFor, type Instrument } from '../instruments/instrument.ts'
import type { Range } from '../limits/range.ts'
import type { Reading } from '../readings/reading.ts'
import { type Confidence, confidenceIn } from './confidence.ts'
import { belowFloor, type Place, place, type Zone } from './judgement.ts'
import { adviceFor, becauseOf } from './verdict-words.ts'

export type { Confidence } from './confidence.ts'

export interface Verdict {
  side: Place['side']
  zone: Zone
  /** `simple`: no instrument was named. */
  rule: 'guarded' | 'simple' | 'none'
  /** Chance that the true value is in range, 0 to 1; null without an instrument or a range. */
  probability: number | null
  /** Expanded uncertainty, k = 2, in the reading's base unit; null without an instrument. */
  uncertainty: number | null
  /** "96.4 V is below 99 to 121 V" */
  because: string
  /** What to do for a surer answer, or a warning ("lower than the copper could have"); null when nothing. */
  advice: string | null
  /** Lower than anything physical could be, even with the meter's error; absent when it is not. */
  implausible?: true
  /**
   * Chances of below, in and above for the ranking; absent where
   * there was nothing to hold the reading against.
   */
  confidence?: Confidence
}

/** Coverage factor of the expanded uncertainty. */
const COVERAGE = 2

/**
 * Holds a reading against a range. Without an instrument, or with one that has no such
 * function, by the simple rule. Never throws for any reading and range; units that differ
 * give no verdict and say so. `worked` is the accuracy of a reading that was worked out
 * of others, where the instrument's own line for it says nothing; null: none is known.
 */
export function judge(
  reading: Reading,
  range: Range | null,
  instrument?: Instrument | null,
  worked?: Accuracy | null,
): Verdict {
  const accuracy = worked !== undefined ? worked : instrument ? accuracyFor(instrument, reading) : null
  const standard = accuracy?.standard ?? null
  const uncertainty = standard === null ? null : COVERAGE * standard
  if (!range || range.unit !== reading.unit) return noVerdict(reading, range, uncertainty)
  const placed = place(reading, range, uncertainty ?? 0, instrument ?? null)
  const guarded = standard !== null || placed.knownTop
  const confidence = confidenceIn(reading, range, standard, placed)
  const verdict: Verdict = {
    side: placed.side,
    zone: placed.zone,
    rule: guarded ? 'guarded' : 'simple',
    probability: probabilityOf(placed, confidence, guarded),
    uncertainty,
    because: becauseOf(reading, range, placed, uncertainty),
    advice: null,
    ...(confidence ? { confidence } : {}),
  }
  const lacking = Boolean(instrument) && !guarded && placed.decided && reading.kind !== 'none'
  const implausible = belowFloor(reading, range, uncertainty ?? 0)
  return {
    ...verdict,
    ...(implausible ? { implausible } : {}),
    advice: adviceFor(reading, range, verdict, { placed, accuracy, lacking, implausible }),
  }
}

/**
 * Does this verdict prove a repair? Only a reading surely in
 * range does; too close to call and no limit do not.
 */
export function passesProof(verdict: Verdict): boolean {
  return verdict.zone === 'in'
}

/** Which rule was used, in a sentence for the page and the record. */
export function ruleWords(verdict: Verdict): string {
  switch (verdict.rule) {
    case 'guarded':
      return 'Judged with the meter’s own uncertainty allowed for.'
    case 'simple':
      return 'Judged by the number as it stands: no meter is named, so nothing is allowed for its error.'
    case 'none':
      return 'Not judged: there is no limit to hold it against.'
  }
}

/** Chances of below, in and above as the ranking takes them; null where there was no verdict or no number. */
export function confidence(verdict: Verdict): Confidence | null {
  if (verdict.confidence) return verdict.confidence
  if (verdict.side === 'none' || verdict.side === 'open' || verdict.side === 'unknown') return null
  return {
    below: verdict.side === 'below' ? 1 : 0,
    in: verdict.side === 'in range' ? 1 : 0,
    above: verdict.side === 'above' ? 1 : 0,
  }
}

function noVerdict(reading: Reading, range: Range | null, uncertainty: number | null): Verdict {
  const side = reading.kind === 'none' || reading.kind === 'open' ? reading.kind : 'unknown'
  const nothing: Place = { side, zone: 'no verdict', decided: false, knownTop: false }
  return {
    side,
    zone: 'no verdict',
    rule: 'none',
    probability: null,
    uncertainty,
    because: becauseOf(reading, range, nothing, null),
    advice: 'Judge it by your own instructions and choose the row.',
  }
}

function probabilityOf(placed: Place, chances: Confidence | null, guarded: boolean): number | null {
  return guarded && placed.decided && chances ? chances.in : null
}
