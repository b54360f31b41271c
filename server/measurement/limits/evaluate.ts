// A formula worked out with the numbers of one position, and the sum in words beside it.

import { formatDigits, formatQuantity, joined } from '../readings/format.ts'
import { Impossible } from '../readings/impossible.ts'
import { clean, fromBase, getUnit, toBase } from '../readings/units.ts'
import { isWordFor } from './dimension-check.ts'
import { type Expression, nameKey } from './formula.ts'
import { type Argument, type FormulaFunction, FUNCTIONS } from './functions.ts'

export type Value = { value: number; unit: string } | string

/** Facts and findings by name (as `nameKey` writes it). Numbers in the unit they are told in. */
export interface Environment {
  values: ReadonlyMap<string, Value>
}

export interface Result {
  /** In base units. */
  value: number
  floor: number | null
  /** The sum with its numbers in: "2 × cable length 100 m". */
  text: string
}

/**
 * Works a formula out; each function's own sum is added to `steps`. The names
 * must be there and the dimensions must have been checked. Throws Impossible
 * for a division by zero and for numbers no function has an answer to.
 */
export function evaluate(expression: Expression, environment: Environment, steps: string[]): Result {
  switch (expression.kind) {
    case 'number':
      return ofNumber(expression.value, expression.unit)
    case 'name':
      return ofName(expression.name, environment)
    case 'negate': {
      const inner = evaluate(expression.of, environment, steps)
      return { value: -inner.value, floor: null, text: `−${bracketed(inner.text)}` }
    }
    case 'binary':
      return ofPair(expression, environment, steps)
    case 'call':
      return ofCall(expression, environment, steps)
  }
}

function ofNumber(value: number, unit: string | null): Result {
  if (unit === null) return { value, floor: null, text: formatDigits(value, 6) }
  const parsedUnit = getUnit(unit)
  const inBase = toBase(value, parsedUnit)
  if (parsedUnit.base === '°C' && inBase < -273.15)
    throw new Impossible(`Nothing is colder than −273.15\u00a0°C, and ${asWritten(value, unit)} is written.`)
  return { value: inBase, floor: null, text: asWritten(value, unit) }
}

function ofName(name: string, environment: Environment): Result {
  const named = environment.values.get(nameKey(name))
  if (named === undefined || typeof named === 'string') throw new Impossible(`"${name}" is no number here.`)
  if (!Number.isFinite(named.value)) throw new Impossible(`"${name}" is no number here: fill it in.`)
  const parsedUnit = getUnit(named.unit)
  const value = toBase(named.value, parsedUnit)
  if (parsedUnit.base === '°C' && value < -273.15)
    throw new Impossible(
      `${name} is ${asWritten(named.value, named.unit)}, and nothing is colder than −273.15\u00a0°C.`,
    )
  return { value, floor: null, text: `${name} ${asWritten(named.value, named.unit)}` }
}

function ofPair(
  expression: Extract<Expression, { kind: 'binary' }>,
  environment: Environment,
  steps: string[],
): Result {
  const left = evaluate(expression.left, environment, steps)
  const right = evaluate(expression.right, environment, steps)
  const { op } = expression
  if (op === '÷' && right.value === 0)
    throw new Impossible(`${left.text} ÷ ${right.text} divides by zero: look at ${right.text}.`)
  const text = `${side(expression.left, left, op)} ${op} ${side(expression.right, right, op)}`
  const floor = floorOf(op, held(expression.left, left), held(expression.right, right))
  return { value: finite(reckon(op, left.value, right.value), text), floor, text }
}

function reckon(op: string, left: number, right: number): number {
  if (op === '+') return clean(left + right)
  if (op === '−') return clean(left - right)
  return clean(op === '×' ? left * right : left / right)
}

/**
 * A plain number that is no count (1.2 ×, 120 % ×) is the author's allowance, and no allowance makes more
 * copper: it never raises a floor.
 */
function held(expression: Expression, result: Result): Result {
  const allowance = isPlain(expression) && !Number.isInteger(result.value)
  return allowance && result.value > 1 ? { ...result, value: 1 } : result
}

function isPlain(expression: Expression): boolean {
  if (expression.kind === 'number') return expression.unit === null || expression.unit === '%'
  return expression.kind === 'binary' && isPlain(expression.left) && isPlain(expression.right)
}

/** A floor survives adding what cannot be negative, and multiplying by a plain number above zero. */
function floorOf(op: string, left: Result, right: Result): number | null {
  if (op === '+') {
    if (left.floor === null && right.floor === null) return null
    return (left.floor ?? Math.min(0, left.value)) + (right.floor ?? Math.min(0, right.value))
  }
  if (op === '×') return scaled(left.floor, right) ?? scaled(right.floor, left)
  return op === '÷' ? scaled(left.floor, { ...right, value: 1 / right.value }) : null
}

function scaled(floor: number | null, by: Result): number | null {
  return floor !== null && by.floor === null && by.value > 0 ? clean(floor * by.value) : null
}

function ofCall(
  expression: Extract<Expression, { kind: 'call' }>,
  environment: Environment,
  steps: string[],
): Result {
  const called = FUNCTIONS.get(expression.name)
  if (!called) throw new Impossible(`There is no function "${expression.name}".`)
  const parts = expression.args.map((arg, index) => argument(called, arg, index, environment, steps))
  const { value, floor, working } = called.work(parts.map(part => part.value))
  const text = `${called.name}(${parts.map(part => part.text).join(', ')})`
  const gives = getUnit(called.gives)
  const answer = formatQuantity(fromBase(finite(value, text), gives), gives.symbol)
  steps.push(working === null ? `${text} = ${answer}` : `${text} = ${working} = ${answer}`)
  return { value: clean(value), floor: floor === null ? null : clean(floor), text: answer }
}

function argument(
  called: FormulaFunction,
  arg: Expression,
  index: number,
  environment: Environment,
  steps: string[],
): { value: Argument; text: string } {
  const parameter = called.takes[index]
  if (parameter?.takes !== 'word') return evaluate(arg, environment, steps)
  const wordName = isWordFor(parameter, arg) && arg.kind === 'name' ? nameKey(arg.name) : null
  const told = arg.kind === 'name' ? environment.values.get(nameKey(arg.name)) : undefined
  const word = wordName ?? told
  if (typeof word !== 'string')
    throw new Impossible(`The ${parameter.name} of ${called.name} must be a word.`)
  return { value: word, text: word }
}

function side(expression: Expression, result: Result, op: string): string {
  const loose = expression.kind === 'binary' && (expression.op === '+' || expression.op === '−')
  const inner = expression.kind === 'binary' && (op === '×' || op === '÷' || op === '−')
  return inner && (loose || op === '÷') ? `(${result.text})` : result.text
}

function bracketed(text: string): string {
  return text.includes(' ') ? `(${text})` : text
}

/** A number in the unit it was written in, whatever its size. */
function asWritten(value: number, unit: string): string {
  return joined(formatDigits(value, 6), getUnit(unit))
}

function finite(value: number, text: string): number {
  if (!Number.isFinite(value) || Math.abs(value) > 1e15)
    throw new Impossible(`${text} comes to a number too large to be real: look at its numbers.`)
  return value
}
