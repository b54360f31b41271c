// A number as people type it: `0.08`, `0,08`, `.5`, `1,234.5`, `−0.2`, `1e3`; and the unit or prefix typed after it,
// against the unit the check asks for. What could be two numbers, or a bare m or M, is asked about.

import type { Range } from '../limits/range.ts'
import { formatIn } from './format.ts'
import { findUnit, nearestUnit, toBase, type Unit, withPrefix } from './units.ts'

export interface TypedNumber {
  value: number
  /** One count of the last digit typed. */
  resolution: number
  /** What stood after the number: a unit, a prefix, or nothing. */
  rest: string
}

export type ReadNumber =
  | ({ kind: 'number' } & TypedNumber)
  /** Each choice is the whole text in a form that is not ambiguous. */
  | { kind: 'ask'; choices: string[] }
  | { kind: 'error'; error: string }

const SHAPE = /^([-−–+]?)\s*((?:\d[\d.,]*|[.,]\d+))(?:[eE]([+\-−]?\d+))?\s*(.*)$/
const MOST_DIGITS = 12
const LARGEST_POWER = 15

/** Reads the number at the start of `text`; the text must hold one. */
export function readNumber(text: string): ReadNumber {
  const match = SHAPE.exec(text)
  const digits = match?.[2]
  if (!match || !digits)
    return { kind: 'error', error: `"${text}" has no number in it: type one, such as 96.4.` }
  const sign = match[1] === '' || match[1] === '+' ? '' : '-'
  const power = (match[3] ?? '0').replace('−', '-')
  const rest = match[4] ?? ''
  if (/^\d{1,3},\d{3}$/.test(digits) && !digits.startsWith('0')) return ask(sign, digits, match[3], rest)
  const plain = decimalPoint(digits)
  if (plain === null)
    return { kind: 'error', error: `"${digits}" has marks in odd places: type it with one decimal point.` }
  return toNumber(sign, plain, Number(power), rest)
}

function ask(sign: string, digits: string, power: string | undefined, rest: string): ReadNumber {
  const tail = `${power === undefined ? '' : `e${power}`}${rest === '' ? '' : ` ${rest}`}`
  const choices = [digits.replace(',', ''), digits.replace(',', '.')]
  return { kind: 'ask', choices: choices.map(choice => `${sign}${choice}${tail}`) }
}

/** The digits with a decimal point and no thousands marks, or null where the marks make no sense. */
function decimalPoint(digits: string): string | null {
  const commas = digits.split(',').length - 1
  const points = digits.split('.').length - 1
  if (commas + points === 0 || (points === 1 && commas === 0)) return digits
  if (commas === 1 && points === 0) return digits.replace(',', '.')
  if (points === 0) return /^\d{1,3}(,\d{3})+$/.test(digits) ? digits.replaceAll(',', '') : null
  if (/^\d{1,3}(,\d{3})+\.\d*$/.test(digits)) return digits.replaceAll(',', '')
  if (/^\d{1,3}(\.\d{3})+,\d*$/.test(digits)) return digits.replaceAll('.', '').replace(',', '.')
  return null
}

function toNumber(sign: string, plain: string, power: number, rest: string): ReadNumber {
  const counted = plain.replace('.', '').replace(/^0+/, '').length
  if (counted > MOST_DIGITS)
    return {
      kind: 'error',
      error: `${counted} digits are more than a meter shows: type what the meter shows.`,
    }
  if (Math.abs(power) > LARGEST_POWER)
    return {
      kind: 'error',
      error: 'This number is too large or too small to be a reading: type what the meter shows.',
    }
  const decimals = plain.includes('.') ? plain.length - plain.indexOf('.') - 1 : 0
  const value = Number(`${sign}${plain}e${power}`)
  return { kind: 'number', value: value === 0 ? 0 : value, resolution: Number(`1e${power - decimals}`), rest }
}

export type TypedUnit =
  | { kind: 'unit'; unit: Unit }
  /** A bare prefix that may have been meant otherwise: the units it can be. */
  | { kind: 'ask'; typed: string; units: Unit[] }
  | { kind: 'error'; error: string }

const PREFIXES = new Map([
  ['n', 'n'],
  ['u', 'µ'],
  ['µ', 'µ'],
  ['μ', 'µ'],
  ['m', 'm'],
  ['k', 'k'],
  ['K', 'k'],
  ['M', 'M'],
  ['G', 'G'],
])

/** Which unit `rest`, typed after `value`, stands for. `usual` helps only where a bare m or M is in doubt. */
export function readUnit(rest: string, value: number, standard: Unit, usual: Range | null): TypedUnit {
  if (rest === '') return { kind: 'unit', unit: standard }
  const unit = findUnit(rest)
  if (unit?.base === standard.base) return { kind: 'unit', unit }
  const prefix = PREFIXES.get(rest)
  if (prefix) return barePrefix(rest, prefix, value, standard, usual)
  if (unit) return otherKind(unit, rest, standard)
  const near = nearestUnit(rest)
  const hint = near && near.base === standard.base ? near.shown : shownName(standard)
  return { kind: 'error', error: `"${rest}" is no unit known here: type the number in ${hint}.` }
}

function otherKind(parsedUnit: Unit, rest: string, standard: Unit): TypedUnit {
  const current = parsedUnit.base === 'V' && standard.base.startsWith('V ') ? standard.base.slice(1) : null
  const unit = current === null ? null : findUnit(parsedUnit.symbol + current)
  if (unit) return { kind: 'unit', unit }
  return {
    kind: 'error',
    error: `"${rest}" is ${parsedUnit.kind}, and this check asks for ${standard.kind}: give the reading in ${shownName(standard)}.`,
  }
}

function barePrefix(
  typed: string,
  prefix: string,
  value: number,
  standard: Unit,
  usual: Range | null,
): TypedUnit {
  const meant = withPrefix(standard.base, prefix)
  const swapped = prefix === 'm' ? 'M' : prefix === 'M' ? 'm' : null
  const other = swapped ? withPrefix(standard.base, swapped) : null
  if (!meant)
    return other
      ? { kind: 'ask', typed, units: [other, standard] }
      : { kind: 'error', error: `"${typed}" does not go with ${shownName(standard)}: type the whole unit.` }
  if (!other) return { kind: 'unit', unit: meant }
  return doubtful(value, meant, other, standard, usual)
    ? { kind: 'ask', typed, units: [meant, other] }
    : { kind: 'unit', unit: meant }
}

/**
 * With a range to go by, a prefix is doubted when the other one comes nearer to it. Without, M is doubted
 * where the check does not ask in mega, and m where it does.
 */
function doubtful(value: number, meant: Unit, other: Unit, standard: Unit, usual: Range | null): boolean {
  if (usual && usual.unit === standard.base)
    return decadesOff(toBase(value, other), usual) < decadesOff(toBase(value, meant), usual)
  return meant.factor > 1 !== standard.factor >= 1e6
}

/** How many powers of ten a value is away from a range. */
function decadesOff(value: number, range: Range): number {
  const size = Math.abs(value)
  if (size === 0) return 0
  if (range.max !== null && size > range.max) return Math.log10(size / Math.max(range.max, 1e-12))
  if (range.min !== null && size < range.min) return Math.log10(range.min / size)
  return 0
}

/** The choices of a question about m or M: each text is read without doubt. */
export function unitChoices(
  value: string,
  numeric: number,
  units: Unit[],
): { text: string; means: string }[] {
  return units.map(unit => ({
    text: `${value} ${unit.shown}`,
    means: formatIn(numeric, unit.symbol, unit.symbol),
  }))
}

/** A unit named in a message; a plain ratio has no symbol of its own. */
export function shownName(unit: Unit): string {
  return unit.shown === '' ? 'a plain number' : unit.shown
}
