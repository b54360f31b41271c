// The small formula language of limits: `2 × cable length × resistance per length(conductor, temperature)`.
//
// + − × ÷, parentheses, numbers with units, names of facts and findings in plain words, and named functions.

import { FormulaError, type FormulaProblem } from './formula-problem.ts'
import { type Piece, pieces } from './pieces.ts'

export type { FormulaProblem } from './formula-problem.ts'

/** Plain data, so that it can be stored and sent. A number without a unit is a plain number. */
export type Expression =
  | { kind: 'number'; value: number; unit: string | null; text: string }
  | { kind: 'name'; name: string }
  | { kind: 'call'; name: string; args: Expression[] }
  | { kind: 'binary'; op: '+' | '−' | '×' | '÷'; left: Expression; right: Expression }
  | { kind: 'negate'; of: Expression }

export type ParsedFormula = { ok: true; expression: Expression } | { ok: false; problem: FormulaProblem }

/** Nothing an author writes by hand nests deeper; a machine's text may not exhaust the stack. */
const DEEPEST = 40

/** Reads one formula. Names and functions are not looked up here: `checkDimensions` does that. */
export function parseFormula(text: string): ParsedFormula {
  try {
    const reader = { pieces: pieces(text), at: 0, depth: 0 }
    const expression = readSum(reader)
    const left = reader.pieces[reader.at]
    if (left) throw unexpected(left)
    return { ok: true, expression }
  } catch (error) {
    if (error instanceof FormulaError) return { ok: false, problem: error.problem }
    throw error
  }
}

/** Names are the same whatever their case and spacing. */
export function nameKey(name: string): string {
  return name
    .trim()
    .replace(/[\s\u00a0]+/g, ' ')
    .toLowerCase()
}

/** Every name in a formula, in order, each once; functions are not names. */
export function namesIn(expression: Expression): string[] {
  const names = new Set<string>()
  visit(expression, part => {
    if (part.kind === 'name') names.add(part.name)
  })
  return [...names]
}

/** Calls `see` on the expression and on everything inside it, outermost first. */
export function visit(expression: Expression, see: (part: Expression) => void): void {
  see(expression)
  if (expression.kind === 'call') for (const arg of expression.args) visit(arg, see)
  if (expression.kind === 'negate') visit(expression.of, see)
  if (expression.kind === 'binary') {
    visit(expression.left, see)
    visit(expression.right, see)
  }
}

interface Reader {
  pieces: Piece[]
  at: number
  depth: number
}

function readSum(reader: Reader): Expression {
  let left = readProduct(reader)
  for (let op = nextSign(reader, '+−'); op; op = nextSign(reader, '+−')) {
    left = { kind: 'binary', op: op as '+' | '−', left, right: readProduct(reader) }
  }
  return left
}

function readProduct(reader: Reader): Expression {
  let left = readFactor(reader)
  for (let op = nextSign(reader, '×÷'); op; op = nextSign(reader, '×÷')) {
    left = { kind: 'binary', op: op as '×' | '÷', left, right: readFactor(reader) }
  }
  return left
}

function readFactor(reader: Reader): Expression {
  const piece = reader.pieces[reader.at]
  if (!piece) throw ended()
  reader.at += 1
  if (piece.kind === 'number')
    return { kind: 'number', value: piece.value, unit: piece.unit, text: piece.text }
  if (piece.kind === 'words') return readName(reader, piece.text)
  if (piece.text === '(') return nested(reader, readGroup)
  if (piece.text === '−') return nested(reader, inner => negative(readFactor(inner)))
  throw unexpected(piece)
}

/** −10 °C is a temperature in its own right, not the opposite of one. */
function negative(of: Expression): Expression {
  if (of.kind !== 'number') return { kind: 'negate', of }
  return { ...of, value: -of.value, text: `−${of.text}` }
}

function readName(reader: Reader, name: string): Expression {
  if (nextSign(reader, '(') === null) return { kind: 'name', name }
  return nested(reader, inner => ({ kind: 'call', name: nameKey(name), args: readArguments(inner) }))
}

function readArguments(reader: Reader): Expression[] {
  if (nextSign(reader, ')')) return []
  const args = [readSum(reader)]
  while (nextSign(reader, ',')) args.push(readSum(reader))
  close(reader)
  return args
}

function readGroup(reader: Reader): Expression {
  const inside = readSum(reader)
  close(reader)
  return inside
}

function nested<T>(reader: Reader, read: (reader: Reader) => T): T {
  reader.depth += 1
  if (reader.depth > DEEPEST)
    throw new FormulaError(
      'a formula with too many parentheses inside each other',
      `at most ${DEEPEST} deep`,
      'Split the formula, or name a limit.',
    )
  const result = read(reader)
  reader.depth -= 1
  return result
}

function close(reader: Reader): void {
  if (nextSign(reader, ')')) return
  const piece = reader.pieces[reader.at]
  throw piece
    ? unexpected(piece)
    : new FormulaError(
        'an opening parenthesis without its end',
        'a closing parenthesis',
        'Add ) where the part in parentheses ends.',
      )
}

function nextSign(reader: Reader, signs: string): string | null {
  const piece = reader.pieces[reader.at]
  if (piece?.kind !== 'sign' || !signs.includes(piece.text)) return null
  reader.at += 1
  return piece.text
}

function ended(): FormulaError {
  return new FormulaError(
    'a formula that stops too soon',
    'a number, a name or a part in parentheses',
    'Finish the formula.',
  )
}

function unexpected(piece: Piece): FormulaError {
  return new FormulaError(
    `"${piece.text}"`,
    'a sign (+ − × ÷) between two numbers or names',
    `Look at what stands before "${piece.text}": a sign or a name is missing, or there is one too many.`,
  )
}
