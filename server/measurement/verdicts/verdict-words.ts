// A verdict in a technician's words: why, and what to do for a surer answer.

import { capitalize, probabilityWords } from '../../words.ts'
import type { Accuracy } from '../instruments/instrument.ts'
import type { Range } from '../limits/range.ts'
import { formatIn, formatQuantity } from '../readings/format.ts'
import { formatReading, type Reading } from '../readings/reading.ts'
import { convert, getUnit } from '../readings/units.ts'
import type { Place, Zone } from './judgement.ts'

/** "96.4 V AC is below 99 to 121 V AC", with the margin where the meter cannot tell. */
export function becauseOf(
  reading: Reading,
  range: Range | null,
  placed: Place,
  uncertainty: number | null,
): string {
  if (!range) return `${capitalize(formatReading(reading))}; there is no limit to hold it against`
  if (range.unit !== reading.unit)
    return `${capitalize(formatReading(reading))} cannot be held against ${range.text}: the units differ`
  const limit = range.min !== null && range.max !== null ? range.text : `the limit, ${range.text}`
  const shown = capitalize(formatReading(reading, shownBeside(reading, range)))
  if (reading.kind === 'none') return `No reading where ${range.text} is expected`
  if (reading.kind === 'open') return `${shown} where ${range.text} is expected`
  if (!placed.decided) return `${shown} ${doubt(reading)} ${limit}`
  const where = placed.side === 'in range' ? 'within' : placed.side
  return `${shown} ${verb(reading)} ${where} ${limit}${margin(reading, placed, range, uncertainty)}`
}

interface Grounds {
  placed: Place
  accuracy: Accuracy | null
  /** A meter was named that has no such function. */
  lacking: boolean
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
export function adviceFor(reading: Reading, range: Range, verdict: Doubted, grounds: Grounds): string | null {
  const said = [
    grounds.implausible ? floorWarning(range) : null,
    closeAdvice(reading, range, verdict, grounds),
    grounds.lacking ? 'The meter named has no range for this reading, so it is judged without it.' : null,
  ].filter(part => part !== null)
  return said.length > 0 ? said.join(' ') : null
}

function closeAdvice(reading: Reading, range: Range, verdict: Doubted, grounds: Grounds): string | null {
  if (reading.kind === 'none' && verdict.zone === 'in, close')
    return 'Prove the meter and its leads on a known source before you trust that nothing is there; then type the number it shows.'
  if (reading.kind === 'open' && !grounds.placed.decided)
    return 'Name the meter, or type the top of its range, such as >20M: the limit may lie beyond it.'
  if (!grounds.placed.decided) return undecidedAdvice(reading)
  if (verdict.zone !== 'in, close' && verdict.zone !== 'out, close') return null
  if (verdict.probability === null || grounds.implausible) return null
  return `Too close to call with this meter: ${probabilityWords(verdict.probability)} likely to be in range. ${better(range, grounds.accuracy)} It does not prove a repair.`
}

function undecidedAdvice(reading: Reading): string {
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
  if (reading.kind === 'value' && distance(reading.value, range) >= uncertainty) return ''
  return `, by less than the meter’s ±${formatIn(Number(uncertainty.toPrecision(2)), range.unit, shownUnit(uncertainty, range))}`
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
