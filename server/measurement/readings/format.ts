// Numbers with their units as people read them: 96.4 V AC, 80 mΩ, −0.2 V DC.
//
// A real minus sign; a no-break space before the unit and
// inside it, so that a number never parts from its unit.

import type { Range } from '../limits/range.ts'
import { convert, findUnit, getUnit, type Unit, withPrefix } from './units.ts'

const PREFIX_ORDER = ['n', 'µ', 'm', '', 'k', 'M', 'G']

/**
 * A value in `unit` (any known symbol), with its unit. With `resolution` (same unit) the digits of the meter
 * are shown, "96.0"; without, up to four digits that matter. Takes another prefix where that reads better.
 */
export function formatQuantity(value: number, unit: string, resolution?: number): string {
  const given = findUnit(unit)
  // A unit that was stored by other hands is shown as it stands.
  if (given === null) return `${formatNumber(value, resolution)}\u00a0${unit}`
  const best = betterPrefix(value, given)
  const shown = convert(value, given.symbol, best.symbol)
  const step = resolution === undefined ? undefined : convert(resolution, given.symbol, best.symbol)
  return joined(formatNumber(shown, step), best)
}

/** A value in `unit` shown in `shown` and no other: for a reading beside its limit. */
export function formatIn(value: number, unit: string, shown: string, resolution?: number): string {
  const step = resolution === undefined ? undefined : convert(resolution, unit, shown)
  return joined(formatNumber(convert(value, unit, shown), step), getUnit(shown))
}

/** The bounds of a range in words: "99 to 121 V AC", "at most 0.5 Ω", "above 10 V AC". */
export function formatRange(range: RangeBounds): string {
  const shown = range.shown ?? bestShown(range)
  const unit = getUnit(shown)
  const [min, max] = [range.min, range.max].map(end =>
    end === null ? null : formatDigits(convert(end, range.unit, shown), boundDigits),
  )
  if (min != null && max != null) return `${min} to ${joined(max, unit)}`
  if (max != null) return `${range.strict ? 'below' : 'at most'} ${joined(max, unit)}`
  if (min != null) return `${range.strict ? 'above' : 'at least'} ${joined(min, unit)}`
  return 'anything'
}

/** One bound of a range as it is judged by, in the range's own unit: "99 V AC". */
export function formatBound(value: number, range: RangeBounds): string {
  const shown = range.shown ?? bestShown(range)
  return joined(formatDigits(convert(value, range.unit, shown), boundDigits), getUnit(shown))
}

/** All the digits that a bound can have (`resolveRange`), so that the number shown is the one judged by. */
export const boundDigits = 12

type RangeBounds = Pick<Range, 'min' | 'max' | 'unit' | 'shown' | 'strict'>

/** Digits to the last place of `resolution`, or four that matter; a real minus; no "−0". */
export function formatNumber(value: number, resolution?: number): string {
  if (resolution === undefined || !(resolution > 0)) return formatDigits(value, 4)
  const places = Math.min(12, Math.max(0, Math.ceil(-Math.log10(resolution) - 1e-9)))
  return minus(value.toFixed(places))
}

/** Up to `digits` digits that matter, without idle zeros: 12.100 is "12.1", 1234567 stays whole. */
export function formatDigits(value: number, digits: number): string {
  if (value === 0 || !Number.isFinite(value)) return Number.isFinite(value) ? '0' : '–'
  const rounded = Number(value.toPrecision(digits))
  const size = Math.floor(Math.log10(Math.abs(rounded)))
  if (size >= 15 || size < -9) return minus(rounded.toExponential())
  const places = Math.min(20, Math.max(0, digits - 1 - size))
  const text = rounded.toFixed(places)
  return minus(trimmed(text))
}

function trimmed(text: string): string {
  return text.includes('.') ? text.replace(/0+$/, '').replace(/\.$/, '') : text
}

/** A number's text with the unit after it, joined so that they never part. */
export function joined(text: string, unit: Unit): string {
  if (unit.shown === '') return text
  return `${text}\u00a0${unit.shown}`
}

function minus(text: string): string {
  return /^-0(\.0+)?$/.test(text) ? text.slice(1) : text.replace('-', '−')
}

/** Stays with the unit given while the number is easy to read in it. */
function betterPrefix(value: number, given: Unit): Unit {
  const size = Math.abs(value)
  if (!Number.isFinite(size) || size === 0 || (size >= 0.1 && size < 1000)) return given
  const inBase = size * given.factor
  for (const prefix of [...PREFIX_ORDER].reverse()) {
    const unit = withPrefix(given.base, prefix)
    if (unit && sameFamily(unit, given) && inBase / unit.factor >= 1) return unit
  }
  return given
}

/** Prefixes change only units that are written with one: mm² and mph stay as they are. */
function sameFamily(unit: Unit, given: Unit): boolean {
  return given.symbol.endsWith(given.base) && findUnit(unit.symbol) === unit
}

/** The unit in which the bounds of a range read best, where no author chose one. */
export function bestShown(range: Pick<Range, 'min' | 'max' | 'unit'>): string {
  const bound = range.max ?? range.min ?? 0
  return betterPrefix(bound, getUnit(range.unit)).symbol
}
