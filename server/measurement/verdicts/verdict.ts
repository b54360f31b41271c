// Reading against range: where it lies, how sure that is, and why, in words.
//
// Four zones with a guard band of the expanded uncertainty, after ILAC-G8:09/2019 4.2.3; chance of conformity
// after JCGM 106:2012; expanded with k = 2. Without an instrument the simple rule: the number as it stands.

import { capitalize, probabilityWords } from '../../words.ts'
import { type Accuracy, accuracyFor, type Instrument, topOf } from '../instruments/instrument.ts'
import type { Range } from '../limits/range.ts'
import { formatIn, formatQuantity } from '../readings/format.ts'
import { formatReading, isResistance, type Reading } from '../readings/reading.ts'
import { convert, getUnit } from '../readings/units.ts'
import {
  belowFloor,
  COVERAGE,
  type Confidence,
  confidenceIn,
  type Place,
  place,
  type Zone,
} from './placing.ts'

export type { Confidence } from './placing.ts'

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

/**
 * Holds a reading against a range. Without an instrument, or with one that has no such
 * function, by the simple rule. Never throws for any reading and range; units that differ, and
 * a number that is none, give no verdict and say so. `worked` is the accuracy of a reading that was worked out
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
  if (!range || range.unit !== reading.unit || isNoNumber(reading))
    return noVerdict(reading, range, uncertainty)
  const beyond =
    accuracy === null && instrument != null && worked === undefined && cannotShow(instrument, reading)
  const placed = held(place(reading, range, uncertainty ?? 0, instrument ?? null), beyond)
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
  const lacking = Boolean(instrument) && !guarded && !beyond && placed.decided && reading.kind !== 'none'
  const implausible = belowFloor(reading, range, uncertainty ?? 0)
  return {
    ...verdict,
    ...(implausible ? { implausible } : {}),
    advice: adviceFor(reading, range, verdict, { placed, accuracy, lacking, beyond, implausible }),
  }
}

/** Has the instrument the function, and no range that holds the reading? Then it was read with another. */
function cannotShow(instrument: Instrument, reading: Reading): boolean {
  return reading.kind !== 'open' && reading.kind !== 'none' && topOf(instrument, reading.unit) !== null
}

/** What the instrument named cannot have shown proves nothing. */
function held(placed: Place, beyond: boolean): Place {
  return beyond && placed.zone === 'in' ? { ...placed, zone: 'in, close' } : placed
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
      return 'Meter error not allowed for: no meter is named.'
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

/** "96.4 V AC is below 99 to 121 V AC", with the margin where the meter cannot tell. */
function becauseOf(reading: Reading, range: Range | null, placed: Place, uncertainty: number | null): string {
  if (!range) return `${capitalize(formatReading(reading))}; there is no limit to hold it against`
  if (range.unit !== reading.unit)
    return `${capitalize(formatReading(reading))} cannot be held against ${range.text}: the units differ`
  if (isNoNumber(reading)) return `No number to hold against ${range.text}`
  const limit = range.min !== null && range.max !== null ? range.text : `the limit, ${range.text}`
  const shown = capitalize(formatReading(reading, shownBeside(reading, range)))
  if (placed.side === 'none' && reading.kind !== 'none')
    return `${shown} is as good as nothing where ${range.text} is expected`
  if (reading.kind === 'none') return `No reading where ${range.text} is expected`
  if (reading.kind === 'open' && (placed.decided || isResistance(reading.unit)))
    return `${shown} where ${range.text} is expected`
  if (!placed.decided) return `${shown} ${doubt(reading)} ${limit}`
  const where = placed.side === 'in range' ? 'within' : placed.side
  return `${shown} ${verb(reading)} ${where} ${limit}${margin(reading, placed, range, uncertainty)}`
}

interface Grounds {
  placed: Place
  accuracy: Accuracy | null
  /** A meter was named that has no such function. */
  lacking: boolean
  /** The meter named has no range that could show it. */
  beyond: boolean
  /** Lower than the copper could have. */
  implausible: boolean
}

/** The chance that the true value is in range, in plain words; null where none was worked out. */
export function oddsWords(probability: number | null): string | null {
  if (probability === null) return null
  const whole = Math.round(probability * 100)
  const outOf = whole > 0 && whole < 100 ? `: in about ${whole} of 100 such readings it is` : ''
  return `Chance that it is truly in range: ${probabilityWords(probability)}${outOf}.`
}

/** What a verdict says of how sure it is. */
type Doubted = { zone: Zone; probability: number | null }

/** What to do next about a doubtful reading; null when there is nothing to say. */
function adviceFor(reading: Reading, range: Range, verdict: Doubted, grounds: Grounds): string | null {
  const said = [
    grounds.implausible ? floorWarning(range) : null,
    closeAdvice(reading, range, verdict, grounds),
    grounds.lacking ? 'The meter named has no range for this reading, so it is judged without it.' : null,
    grounds.beyond
      ? 'The meter named has no range that shows this: name the one it was read with. It does not prove a repair.'
      : null,
  ].filter(part => part !== null)
  return said.length > 0 ? said.join(' ') : null
}

function closeAdvice(reading: Reading, range: Range, verdict: Doubted, grounds: Grounds): string | null {
  if (reading.kind === 'none' && verdict.zone === 'in, close')
    return 'Prove the meter and its leads on a known source before you trust that nothing is there; then type the number it shows.'
  if (reading.kind === 'open' && isResistance(reading.unit) && !grounds.placed.decided)
    return 'Name the meter, or type the top of its range, such as >20M: the limit may lie beyond it.'
  if (!grounds.placed.decided) return undecidedAdvice(reading)
  if (verdict.zone !== 'in, close' && verdict.zone !== 'out, close') return null
  if (verdict.probability === null || grounds.implausible) return null
  return `Too close to call with this meter: ${probabilityWords(verdict.probability)} likely to be in range. ${better(range, grounds.accuracy)} It does not prove a repair.`
}

function undecidedAdvice(reading: Reading): string {
  if (reading.kind === 'open')
    return 'OL is more than the meter can show on the range it is set to: set a higher range and measure again. It does not prove a repair.'
  if (reading.kind === 'unstable')
    return 'Find what makes it wander: hold the probes firmly, clean the contact, and watch it with the drive steady. It does not prove a repair.'
  return 'This does not tell which side of the limit it is on: use a range that shows a number. It does not prove a repair.'
}

/** What would tell better than this meter. */
function better(range: Range, accuracy: Accuracy | null): string {
  if (range.unit === 'ohm' && accuracy?.function.method === '2-wire')
    return 'Measure again with four wires, or by the volt drop under load.'
  return 'Measure again on a lower range or with a more accurate meter.'
}

function floorWarning(range: Range): string {
  const floor = formatQuantity(range.floor ?? 0, range.unit)
  return `This is lower than the copper could have (${floor}): look for a short nearer than the loop, or a wrong length or core size on record.`
}

function margin(reading: Reading, placed: Place, range: Range, uncertainty: number | null): string {
  const close = placed.zone === 'in, close' || placed.zone === 'out, close'
  if (!close || uncertainty === null || uncertainty === 0) return ''
  // Held back for being implausible, and not for being near a limit.
  if (!endsOf(reading).some(value => distance(value, range) < uncertainty)) return ''
  return `, by less than the meter’s ±${formatIn(Number(uncertainty.toPrecision(2)), range.unit, shownUnit(uncertainty, range))}`
}

function isNoNumber(reading: Reading): boolean {
  if (reading.kind === 'unstable') return Number.isNaN(reading.low) || Number.isNaN(reading.high)
  return 'value' in reading && Number.isNaN(reading.value)
}

function endsOf(reading: Reading): number[] {
  if (reading.kind === 'unstable') return [reading.low, reading.high]
  return 'value' in reading ? [reading.value] : []
}

/** From the nearer bound, in the base unit. */
function distance(value: number, { min, max }: Range): number {
  return Math.min(Math.abs(value - (min ?? -Infinity)), Math.abs(value - (max ?? Infinity)))
}

function verb(reading: Reading): string {
  return reading.kind === 'unstable' ? 'wanders, all' : 'is'
}

function doubt(reading: Reading): string {
  return reading.kind === 'unstable' ? 'wanders in and out of' : 'cannot be placed against'
}

/**
 * The range's own unit, so that the two can be compared at
 * sight; undefined where the number would be odd in it.
 */
function shownBeside(reading: Reading, range: Range): string | undefined {
  const value = 'value' in reading ? reading.value : reading.kind === 'unstable' ? reading.high : 0
  const unit = range.shown ?? range.unit
  const size = Math.abs(convert(value, range.unit, unit))
  const prefixed = getUnit(unit).base !== getUnit(unit).symbol.slice(-getUnit(unit).base.length)
  return prefixed || size === 0 || (size >= 0.001 && size < 100_000) ? unit : undefined
}

function shownUnit(uncertainty: number, range: Range): string {
  const unit = range.shown ?? range.unit
  return convert(uncertainty, range.unit, unit) >= 0.001 ? unit : range.unit
}
