// A formula cut into its pieces: numbers with their units, names in plain words, signs.

import { findUnit, nearestUnit } from '../readings/units.ts'
import { FormulaError } from './formula-problem.ts'

export type Piece =
  | { kind: 'number'; value: number; unit: string | null; text: string }
  | { kind: 'words'; text: string }
  | { kind: 'sign'; text: string }

const SIGNS = new Map([
  ['+', '+'],
  ['-', '−'],
  ['−', '−'],
  ['–', '−'],
  ['*', '×'],
  ['×', '×'],
  ['·', '×'],
  ['/', '÷'],
  ['÷', '÷'],
  ['(', '('],
  [')', ')'],
  [',', ','],
])
const NUMBER = /^\d+(?:\.\d+)?(?:[eE][+-]?\d+)?/
const WORDS = /^[\p{L}][\p{L}\p{N}'’_²³-]*(?:[ \u00a0]+[\p{L}\p{N}][\p{L}\p{N}'’_²³-]*)*/u
/** What a unit can be made of, after a number. */
const UNIT = /^[ \u00a0]*([%°℃\p{L}Ω\u2126µ²~.0-9/]+(?:[ \u00a0][\p{L}.]+)?)/u
/** The letter x between two spaces, as people type it for ×. */
const TIMES = /^[xX](?=[ \u00a0(\d])/
const LONGEST = 500
/** As many as a bound has that is shown. */
const MOST_DIGITS = 12
const LARGEST = 1e15

/** Cuts a formula up. Throws FormulaError for a character, a number or a unit it does not know. */
export function pieces(text: string): Piece[] {
  if (text.length > LONGEST)
    throw new FormulaError(
      `a formula of ${text.length} characters`,
      `at most ${LONGEST}`,
      'Name limits and use the names.',
    )
  const pieces: Piece[] = []
  let rest = text.trimStart()
  while (rest !== '') {
    const { piece, length } = nextPiece(rest)
    pieces.push(piece)
    rest = rest.slice(length).replace(/^[\s\u00a0]+/, '')
  }
  return pieces
}

function nextPiece(rest: string): { piece: Piece; length: number } {
  const sign = SIGNS.get(rest.slice(0, 1))
  if (sign) return { piece: { kind: 'sign', text: sign }, length: 1 }
  if (TIMES.test(rest)) return { piece: { kind: 'sign', text: '×' }, length: 1 }
  const number = NUMBER.exec(rest)?.[0]
  if (number) return numberPiece(rest, number)
  const words = WORDS.exec(rest)?.[0]
  if (words) return { piece: { kind: 'words', text: words.trim() }, length: words.length }
  throw new FormulaError(
    `"${rest.slice(0, 1)}"`,
    'a number, a name, a sign (+ − × ÷) or a parenthesis',
    'Take the character out, or write it in words.',
  )
}

function numberPiece(rest: string, number: string): { piece: Piece; length: number } {
  const value = Number(number)
  const digits = number
    .replace(/[eE].*$/, '')
    .replace('.', '')
    .replace(/^0+/, '')
  if (!isOrdinary(value, digits) || digits.length > MOST_DIGITS)
    throw new FormulaError(
      `the number ${number.slice(0, 24)}`,
      `a number of ordinary size, with ${MOST_DIGITS} digits at most`,
      'Use a prefix such as k or M.',
    )
  if (/^0[xX][\da-fA-F]/.test(rest))
    throw new FormulaError(
      `“${rest.slice(0, 12)}”`,
      'a number in figures',
      'Write the number out, or a space on both sides of ×.',
    )
  const unit = unitAfter(rest.slice(number.length))
  const length = number.length + (unit?.length ?? 0)
  return {
    piece: { kind: 'number', value, unit: unit?.symbol ?? null, text: rest.slice(0, length).trim() },
    length,
  }
}

/** `1e-400` is nought to a computer, and no nought to whoever wrote it. */
function isOrdinary(value: number, digits: string): boolean {
  if (digits === '') return true
  return Number.isFinite(value) && Math.abs(value) <= LARGEST && Math.abs(value) >= 1 / LARGEST
}

/** The longest known unit that stands right after a number; null when a sign or nothing follows. */
function unitAfter(rest: string): { symbol: string; length: number } | null {
  const match = UNIT.exec(rest)
  if (!match?.[1]) return null
  for (let length = match[0].length; length > 0; length--) {
    // A lone k is a prefix to people, and kelvin is written K.
    const unit = rest.slice(0, length).trim() === 'k' ? null : findUnit(rest.slice(0, length))
    if (unit && !/^[\p{L}\p{N}²]/u.test(rest.slice(length))) return { symbol: unit.symbol, length }
  }
  if (/^[ \u00a0]*\//.test(rest) || TIMES.test(rest.trimStart())) return null
  const word = match[1].split(/[ \u00a0/]/)[0] ?? match[1]
  throw new FormulaError(
    `"${word}" after a number`,
    'a unit, or one of the signs + − × ÷',
    `Write a known unit (V AC, ohm, m, mm², °C …), or × before a name.`,
    nearestUnit(word)?.symbol ?? null,
  )
}
