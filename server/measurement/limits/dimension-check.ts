// Does a formula make sense before any number is known? Names,
// functions and dimensions, all problems at once.

import {
  baseUnitOf,
  combine,
  type Dimension,
  describeDimension,
  dimensionOf,
  fits,
} from '../readings/dimension.ts'
import { editDistance, getUnit, unitDimension } from '../readings/units.ts'
import type { Expression } from './formula.ts'
import { nameKey } from './formula.ts'
import type { FormulaProblem } from './formula-problem.ts'
import { type FormulaFunction, FUNCTIONS, type Parameter, signature } from './functions.ts'

/** What a part of a formula gives; `unknown` after a problem was told, so that it is told once. */
export type Type = { kind: 'quantity'; dimension: Dimension } | { kind: 'word' } | { kind: 'unknown' }

/** Name (as `nameKey` writes it) → unit symbol, or 'choice' for a fact that is a word. */
export type Names = ReadonlyMap<string, string>

/** The type of an expression; what is wrong with it goes into `problems`. */
export function typeOf(expression: Expression, names: Names, problems: FormulaProblem[]): Type {
  switch (expression.kind) {
    case 'number':
      return quantity(unitDimension(expression.unit ?? 'ratio'))
    case 'name':
      return typeOfName(expression.name, names, problems)
    case 'negate':
      return typeOfNegation(typeOf(expression.of, names, problems), problems)
    case 'binary':
      return typeOfPair(expression, names, problems)
    case 'call':
      return typeOfCall(expression, names, problems)
  }
}

/** The known name nearest to a mistyped one, or null. */
function nearest(name: string, candidates: Iterable<string>): string | null {
  let best: { name: string; distance: number } | null = null
  for (const candidate of candidates) {
    const distance = editDistance(name, candidate)
    const enough = Math.max(2, Math.floor(Math.max(name.length, candidate.length) / 3))
    if (distance <= enough && distance < (best?.distance ?? Number.POSITIVE_INFINITY))
      best = { name: candidate, distance }
  }
  return best?.name ?? null
}

function typeOfName(name: string, names: Names, problems: FormulaProblem[]): Type {
  const unit = names.get(nameKey(name))
  if (unit === 'choice') return { kind: 'word' }
  if (unit !== undefined) return quantity(unitDimension(unit))
  const functionNamed = FUNCTIONS.get(nameKey(name))
  problems.push({
    found: `the name "${name}"`,
    expected: functionNamed ? signature(functionNamed) : 'a fact of the equipment or a finding of the tree',
    mend: functionNamed ? 'Add what it takes, in parentheses.' : 'Add the fact, or correct the name.',
    hint: nearest(nameKey(name), [...names.keys(), ...FUNCTIONS.keys()]),
  })
  return { kind: 'unknown' }
}

function typeOfNegation(inner: Type, problems: FormulaProblem[]): Type {
  if (inner.kind === 'unknown') return inner
  if (inner.kind === 'quantity' && !inner.dimension.point) return inner
  problems.push(noSum('the opposite of a temperature or a word'))
  return { kind: 'unknown' }
}

function typeOfPair(
  expression: Extract<Expression, { kind: 'binary' }>,
  names: Names,
  problems: FormulaProblem[],
): Type {
  const left = typeOf(expression.left, names, problems)
  const right = typeOf(expression.right, names, problems)
  if (left.kind === 'unknown' || right.kind === 'unknown') return { kind: 'unknown' }
  if (left.kind === 'word' || right.kind === 'word') {
    problems.push(noSum(`a word on one side of ${expression.op}`))
    return { kind: 'unknown' }
  }
  const result =
    expression.op === '×' || expression.op === '÷'
      ? product(left.dimension, right.dimension, expression.op === '×' ? 1 : -1)
      : sum(left.dimension, right.dimension, expression.op)
  if (result) return quantity(result)
  problems.push(mismatch(left.dimension, right.dimension, expression.op))
  return { kind: 'unknown' }
}

function product(left: Dimension, right: Dimension, power: 1 | -1): Dimension | null {
  return left.point || right.point ? null : combine(left, right, power)
}

/** 20 °C + 5 K is a temperature, 20 °C − 5 °C a difference, 20 °C + 5 °C nothing. */
function sum(left: Dimension, right: Dimension, op: '+' | '−'): Dimension | null {
  const heat = left.kelvin === 1 && right.kelvin === 1 && (left.point || right.point)
  if (heat && left.point && right.point) return op === '−' ? { ...left, point: false } : null
  if (heat && right.point) return op === '+' ? right : null
  if (heat) return fits({ ...left, point: false }, right) ? left : null
  if (!fits(left, right)) return null
  return left.current === null ? right : left
}

function typeOfCall(
  expression: Extract<Expression, { kind: 'call' }>,
  names: Names,
  problems: FormulaProblem[],
): Type {
  const called = FUNCTIONS.get(expression.name)
  if (!called) {
    problems.push({
      found: `the function "${expression.name}"`,
      expected: `one of ${[...FUNCTIONS.keys()].join(', ')}`,
      mend: 'Correct the name, or write × before the parenthesis.',
      hint: nearest(expression.name, FUNCTIONS.keys()),
    })
    return { kind: 'unknown' }
  }
  checkArguments(called, expression.args, names, problems)
  return quantity(called.alternating ? dimensionOf('AC ratio') : unitDimension(called.gives))
}

function checkArguments(
  called: FormulaFunction,
  args: Expression[],
  names: Names,
  problems: FormulaProblem[],
): void {
  const least = called.takes.filter(parameter => !parameter.optional).length
  if (args.length < least || args.length > called.takes.length)
    problems.push({
      found: `${called.name} with ${args.length} in its parentheses`,
      expected: signature(called),
      mend: 'Give what it takes, in this order, with commas between.',
      hint: null,
    })
  for (const [index, arg] of args.entries()) {
    const parameter = called.takes[index]
    if (parameter) checkArgument(called, parameter, arg, names, problems)
  }
}

function checkArgument(
  called: FormulaFunction,
  parameter: Parameter,
  arg: Expression,
  names: Names,
  problems: FormulaProblem[],
): void {
  if (parameter.takes === 'word' && isWordFor(parameter, arg)) return
  const type = typeOf(arg, names, problems)
  if (type.kind === 'unknown') return
  if (parameter.takes === 'word' ? type.kind === 'word' : suits(type, parameter)) return
  problems.push({
    found: `${describe(type)} as the ${parameter.name} of ${called.name}`,
    expected:
      parameter.takes === 'word' ? (parameter.words ?? []).join(', ') : `a quantity in ${parameter.takes}`,
    mend: `Write ${signature(called)}.`,
    hint: null,
  })
}

/** Is this argument one of the parameter's own words, written out? */
export function isWordFor(parameter: Parameter, arg: Expression): boolean {
  return arg.kind === 'name' && (parameter.words ?? []).includes(nameKey(arg.name))
}

function suits(type: Type, parameter: Parameter): boolean {
  return type.kind === 'quantity' && fits(type.dimension, unitDimension(getUnit(parameter.takes).base))
}

function quantity(dimension: Dimension): Type {
  return { kind: 'quantity', dimension }
}

function describe(type: Type): string {
  return type.kind === 'quantity' ? describeDimension(type.dimension) : 'a word'
}

function noSum(found: string): FormulaProblem {
  return {
    found,
    expected: 'quantities that can be reckoned with',
    mend: 'Use words only where a function takes one.',
    hint: null,
  }
}

function mismatch(left: Dimension, right: Dimension, op: string): FormulaProblem {
  const heat = left.point || right.point
  return {
    found: `${describeDimension(left)} ${op} ${describeDimension(right)}`,
    expected: heat
      ? 'a temperature in °C with a difference in K added or taken away'
      : 'the same kind of quantity on both sides',
    mend: heat
      ? 'Write differences of temperature in K; never multiply a temperature.'
      : `Look at the units on both sides of ${op}.`,
    hint: null,
  }
}

/** The unit symbol of a type, or null where no unit measures it. */
export function unitOfType(type: Type): string | null {
  const base = type.kind === 'quantity' ? baseUnitOf(type.dimension) : null
  return base === 'AC ratio' ? 'ratio' : base
}
