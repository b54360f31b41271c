// A limit as an author writes it: `99 to 121 V AC`, `110 V AC ± 10 %`, `at most 0.5 ohm`, `below 10 V AC`.

import { typeOf, unitOfType } from './dimension-check.ts'
import type { Expectation } from './expectation.ts'
import { type Expression, namesIn, parseFormula, visit } from './formula.ts'
import { FormulaError, type FormulaProblem } from './formula-problem.ts'
import { findUnit, getUnit, nearestUnit } from './units.ts'

export type ParsedExpectation =
  | { ok: true; expectation: Expectation }
  | { ok: false; problem: FormulaProblem }

/** Before the unit is settled: the sides as written. */
type Form =
  | { kind: 'between'; low: Expression; high: Expression }
  | { kind: 'tolerance'; middle: Expression; plus: Expression; minus: Expression; relative: boolean }
  | { kind: 'at most'; high: Expression; strict?: boolean }
  | { kind: 'at least'; low: Expression; strict?: boolean }

const ONE_SIDED: [RegExp, 'at most' | 'at least', boolean][] = [
  [/^(?:at most|no more than|≤|<=)\s*(?=\S)/i, 'at most', false],
  [/^(?:at least|no less than|≥|>=)\s*(?=\S)/i, 'at least', false],
  [/^(?:below|under|<)\s*(?=\S)/i, 'at most', true],
  [/^(?:above|over|more than|>)\s*(?=\S)/i, 'at least', true],
]
const UNEVEN = /^(.*\S)\s*\+\s*(\d+(?:\.\d+)?)\s*%?\s*(?:\/|,)?\s*[-−–]\s*(\d+(?:\.\d+)?)\s*%$/

/**
 * Reads a limit. A number without a unit takes the other side's, else `defaultUnit`. With a `defaultUnit` a limit in
 * another kind of unit is a problem; plain V takes AC or DC from it, and is a problem without it.
 */
export function parseExpectation(text: string, defaultUnit?: string): ParsedExpectation {
  try {
    const form = readForm(text.trim().replace(/[\s\u00a0]+/g, ' '))
    return { ok: true, expectation: settleUnit(form, defaultUnit, text) }
  } catch (error) {
    if (error instanceof FormulaError) return { ok: false, problem: error.problem }
    throw error
  }
}

function readForm(text: string): Form {
  for (const [pattern, kind, strict] of ONE_SIDED) {
    const match = pattern.exec(text)
    if (match) return oneSided(kind, strict, need(text.slice(match[0].length)))
  }
  const uneven = UNEVEN.exec(text)
  if (uneven?.[1]) return unevenForm(uneven[1], Number(uneven[2]), Number(uneven[3]))
  const parts = text.split(/\s*(?:±|\+\/-|\+\/−|\+-)\s*/)
  if (parts.length > 1) return toleranceForm(parts)
  return betweenForm(text)
}

function oneSided(kind: 'at most' | 'at least', strict: boolean, bound: Expression): Form {
  const mark = strict ? { strict } : {}
  return kind === 'at most' ? { kind, high: bound, ...mark } : { kind, low: bound, ...mark }
}

function unevenForm(middle: string, plus: number, minus: number): Form {
  return {
    kind: 'tolerance',
    middle: need(middle),
    plus: share(plus),
    minus: share(minus),
    relative: true,
  }
}

function toleranceForm(parts: string[]): Form {
  const [middle, width, ...more] = parts
  if (!middle || !width || more.length > 0)
    throw new FormulaError(
      'a ± without a number on both sides',
      'A ± B or A ± P %',
      'Write it as 110 V AC ± 10 %.',
    )
  const amount = need(width)
  const relative = amount.kind === 'number' && amount.unit === '%'
  const around = relative ? amount : asDifference(amount)
  if (amount.kind === 'number' && amount.value < 0)
    throw new FormulaError(`"± ${width}"`, 'a number above zero', 'Take the minus sign out.')
  return { kind: 'tolerance', middle: need(middle), plus: around, minus: around, relative }
}

/** The last "to" that leaves a formula on both sides: the names of findings may have a "to" of their own. */
function betweenForm(text: string): Form {
  let at = text.length
  let first: FormulaProblem | null = null
  for (let cut = text.lastIndexOf(' to ', at); cut > 0; cut = text.lastIndexOf(' to ', at)) {
    const low = parseFormula(text.slice(0, cut))
    const high = parseFormula(text.slice(cut + 4))
    if (low.ok && high.ok) return { kind: 'between', low: low.expression, high: high.expression }
    const failed = low.ok ? high : low
    if (!failed.ok) first ??= failed.problem
    at = cut - 1
    if (at < 0) break
  }
  if (first) throw new FormulaError(first.found, first.expected, first.mend, first.hint)
  throw new FormulaError(
    text === '' ? 'nothing' : `"${text}"`,
    'A to B, A ± B, A ± P %, at most A or at least A',
    'Write it as 99 to 121 V AC, 110 V AC ± 10 %, at most 0.5 ohm or at least 1 Mohm.',
  )
}

function need(text: string): Expression {
  const parsed = parseFormula(text)
  if (parsed.ok) return parsed.expression
  const { found, expected, mend, hint } = parsed.problem
  throw new FormulaError(found, expected, mend, hint)
}

function settleUnit(form: Form, defaultUnit: string | undefined, text: string): Expectation {
  const standard = defaultUnit ? knownUnit(defaultUnit) : null
  const written =
    sidesOf(form)
      .map(outerUnit)
      .find(symbol => symbol !== null) ?? null
  if (standard && written) checkKind(written, standard.symbol, text)
  const plainVolts = written !== null && getUnit(written).base === 'V'
  const chosen = plainVolts
    ? (standard?.symbol ?? written)
    : (written ?? standard?.symbol ?? impliedUnit(form))
  if (chosen && getUnit(chosen).base === 'V') throw whichVolts(text)
  if (!chosen && sidesOf(form).some(isBare)) throw noUnit(text)
  const unit = chosen ?? ''
  const settle = (side: Expression) => settleSide(side, unit)
  switch (form.kind) {
    case 'between':
      return { ...form, low: settle(form.low), high: settle(form.high), unit }
    case 'at most':
      return { ...form, high: settle(form.high), unit }
    case 'at least':
      return { ...form, low: settle(form.low), unit }
    case 'tolerance':
      return { ...form, ...settleWidth(form, unit), middle: settle(form.middle), unit }
  }
}

function settleWidth(
  form: Extract<Form, { kind: 'tolerance' }>,
  unit: string,
): { plus: Expression; minus: Expression } {
  if (form.relative) return { plus: form.plus, minus: form.minus }
  const step = unit === '°C' ? 'K' : unit
  return { plus: settleSide(form.plus, step), minus: settleSide(form.minus, step) }
}

/** A bare number takes the unit; plain V takes its AC or DC. */
function settleSide(side: Expression, unit: string): Expression {
  if (unit === '') return side
  if (side.kind === 'number') return { ...side, unit: sideUnit(side.unit, unit) }
  if (!isBare(side)) return side
  return { kind: 'binary', op: '×', left: side, right: { kind: 'number', value: 1, unit, text: `1 ${unit}` } }
}

function sideUnit(own: string | null, unit: string): string {
  if (own === null) return unit
  const { base } = getUnit(unit)
  if (getUnit(own).base !== 'V' || !base.startsWith('V ')) return own
  return findUnit(`${own}${base.slice(1)}`)?.symbol ?? own
}

function checkKind(written: string, standard: string, text: string): void {
  const own = getUnit(written)
  const wanted = getUnit(standard)
  const volts = own.base === 'V' && wanted.base.startsWith('V ')
  if (own.base === wanted.base || volts) return
  throw new FormulaError(
    `"${text}", a limit in ${own.symbol}`,
    `${wanted.kind}, in ${wanted.symbol}`,
    `Write the limit in ${wanted.symbol}, or correct the unit it is given in.`,
  )
}

function knownUnit(symbol: string): { symbol: string } {
  const unit = findUnit(symbol)
  if (unit) return unit
  throw new FormulaError(
    `the unit "${symbol}"`,
    'a known unit: V AC, V DC, A, ohm, Hz, H, m, mm², m/s, mph, s, °C, K, %',
    'Correct the unit.',
    nearestUnit(symbol)?.symbol ?? null,
  )
}

function sidesOf(form: Form): Expression[] {
  switch (form.kind) {
    case 'between':
      return [form.high, form.low]
    case 'tolerance':
      return form.relative ? [form.middle] : [form.middle, fromDifference(form.plus)]
    case 'at most':
      return [form.high]
    case 'at least':
      return [form.low]
  }
}

function outerUnit(side: Expression): string | null {
  return side.kind === 'number' ? side.unit : null
}

/** Nothing but numbers without units. */
function isBare(side: Expression): boolean {
  let bare = true
  visit(side, part => {
    if (part.kind === 'name' || part.kind === 'call' || (part.kind === 'number' && part.unit !== null))
      bare = false
  })
  return bare
}

/** The unit a formula without names comes to by itself, or null. */
function impliedUnit(form: Form): string | null {
  for (const side of sidesOf(form)) {
    if (isBare(side) || namesIn(side).length > 0) continue
    const unit = unitOfType(typeOf(side, new Map(), []))
    if (unit) return unit
  }
  return null
}

function asDifference(width: Expression): Expression {
  return width.kind === 'number' && width.unit === '°C' ? { ...width, unit: 'K' } : width
}

function fromDifference(width: Expression): Expression {
  return width.kind === 'number' && width.unit === 'K' ? { ...width, unit: null } : width
}

function share(percent: number): Expression {
  return { kind: 'number', value: percent, unit: '%', text: `${percent} %` }
}

function whichVolts(text: string): FormulaError {
  return new FormulaError(
    `"${text}", volts that are neither AC nor DC`,
    'V AC or V DC',
    'Say which: write V AC or V DC.',
  )
}

function noUnit(text: string): FormulaError {
  return new FormulaError(
    `"${text}", a number without a unit`,
    'a number with a unit',
    'Write the unit: 99 to 121 V AC.',
  )
}
