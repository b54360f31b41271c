// A limit as an author writes it: `99 to 121 V AC`, `110 V AC ± 10 %`, `at most 0.5 ohm`, `below 10 V AC`.

import { findUnit, getUnit, nearestUnit } from '../readings/units.ts'
import { typeOf, unitOfType } from './dimension-check.ts'
import { type Expression, namesIn, visit } from './formula.ts'
import { FormulaError, type FormulaProblem } from './formula-problem.ts'
import { type Form, readForm } from './limit-form.ts'
import type { Expectation } from './range.ts'

export type ParsedExpectation =
  | { ok: true; expectation: Expectation }
  | { ok: false; problem: FormulaProblem }

/**
 * Reads a limit. A number without a unit takes the other side's, else `defaultUnit`. With a `defaultUnit` a
 * limit in another kind of unit is a problem; plain V takes AC or DC from it, and is a problem without it.
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
  const settle = (width: Expression) =>
    unit === '°C' ? asDifference(settleSide(width, 'K')) : settleSide(width, unit)
  return { plus: settle(form.plus), minus: settle(form.minus) }
}

/** A bare number takes the unit; plain V takes its AC or DC. */
function settleSide(side: Expression, unit: string): Expression {
  if (unit === '') return side
  if (side.kind === 'number') return { ...side, unit: sideUnit(side.unit, unit) }
  if (!isBare(side)) return side
  return { kind: 'binary', op: '×', left: side, right: { kind: 'number', value: 1, unit, text: `1 ${unit}` } }
}

function sideUnit(typedUnit: string | null, unit: string): string {
  if (typedUnit === null) return unit
  const { base } = getUnit(unit)
  if (getUnit(typedUnit).base !== 'V' || !base.startsWith('V ')) return typedUnit
  return findUnit(`${typedUnit}${base.slice(1)}`)?.symbol ?? typedUnit
}

function checkKind(written: string, standard: string, text: string): void {
  const parsedUnit = getUnit(written)
  const wanted = getUnit(standard)
  const volts = parsedUnit.base === 'V' && wanted.base.startsWith('V ')
  if (parsedUnit.base === wanted.base || volts) return
  throw new FormulaError(
    `"${text}", a limit in ${parsedUnit.symbol}`,
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
