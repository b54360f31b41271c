// Does a limit make sense before any number is known: its names, its functions, its dimensions.

import { type Dimension, describeDimension, fits, isRatio } from '../readings/dimension.ts'
import { getUnit, unitDimension } from '../readings/units.ts'
import { type Names, type Type, typeOf, unitOfType } from './dimension-check.ts'
import { type Expression, nameKey, namesIn } from './formula.ts'
import type { FormulaProblem } from './formula-problem.ts'
import type { Expectation } from './range.ts'

/**
 * Everything wrong with a limit, given the names it may use: name → unit symbol, or 'choice' for a fact that
 * is a word. Unknown names come with the nearest known one.
 */
export function checkDimensions(
  expectation: Expectation,
  names: ReadonlyMap<string, string>,
): FormulaProblem[] {
  const problems: FormulaProblem[] = []
  const byKey = keyed(names)
  const sides = sidesOf(expectation).map(side => ({
    ...side,
    type: typeOf(side.expression, byKey, problems),
  }))
  const wanted = wantedDimension(expectation, sides)
  for (const side of sides) checkSide(side.type, side.step, wanted, problems)
  if (expectation.kind === 'tolerance' && expectation.relative) checkShare(sides[0]?.type, problems)
  if (expectation.unit === '' && problems.length === 0) checkVolts(sides[0]?.type, problems)
  return distinct(problems)
}

/** The unit a limit's readings have: the author's own, or the one its names give; null when it has none. */
export function expectationUnit(expectation: Expectation, names: ReadonlyMap<string, string>): string | null {
  if (expectation.unit !== '') return expectation.unit
  const side = sidesOf(expectation)[0]
  return side ? unitOfType(typeOf(side.expression, keyed(names), [])) : null
}

/** Does the limit need no fact and no finding? Then it can be worked out when the knowledge is compiled. */
export function isConstant(expectation: Expectation): boolean {
  return namesOf(expectation).every(name => /^class [1256]\b/.test(nameKey(name)))
}

/** Every fact and finding a limit names, each once. */
export function namesOf(expectation: Expectation): string[] {
  return [...new Set(sidesOf(expectation).flatMap(side => namesIn(side.expression)))]
}

/**
 * The expressions of a limit; a `step` is a width: in °C it is
 * a difference, and it may be a share of the middle.
 */
export function sidesOf(
  expectation: Expectation,
): { expression: Expression; step: 'no' | 'width' | 'share' }[] {
  switch (expectation.kind) {
    case 'between':
      return [
        { expression: expectation.low, step: 'no' },
        { expression: expectation.high, step: 'no' },
      ]
    case 'at most':
      return [{ expression: expectation.high, step: 'no' }]
    case 'at least':
      return [{ expression: expectation.low, step: 'no' }]
    case 'tolerance': {
      const step = expectation.relative ? 'share' : 'width'
      return [
        { expression: expectation.middle, step: 'no' },
        { expression: expectation.plus, step },
        { expression: expectation.minus, step },
      ]
    }
  }
}

/** Names in the way they are compared. */
function keyed(names: ReadonlyMap<string, string>): Names {
  return new Map([...names].map(([name, unit]) => [nameKey(name), unit]))
}

function wantedDimension(expectation: Expectation, sides: { type: Type }[]): Dimension | null {
  if (expectation.unit !== '') return unitDimension(expectation.unit)
  const first = sides.find(side => side.type.kind === 'quantity')?.type
  return first?.kind === 'quantity' ? first.dimension : null
}

function checkSide(
  type: Type,
  step: 'no' | 'width' | 'share',
  wanted: Dimension | null,
  problems: FormulaProblem[],
): void {
  if (type.kind === 'unknown') return
  if (type.kind === 'word') {
    problems.push({
      found: 'a word',
      expected: 'a number',
      mend: 'Name a fact that is a number.',
      hint: null,
    })
    return
  }
  if (step === 'share' ? isRatio(type.dimension) : suits(type.dimension, step, wanted)) return
  problems.push({
    found: describeDimension(type.dimension),
    expected:
      step === 'share' ? 'a percentage' : wanted ? describeDimension(wanted) : 'a quantity with a unit',
    mend: 'Look at the units of the numbers and facts in the limit.',
    hint: null,
  })
}

function suits(dimension: Dimension, step: 'no' | 'width', wanted: Dimension | null): boolean {
  if (!wanted) return true
  return fits(dimension, step === 'width' && wanted.point ? { ...wanted, point: false } : wanted)
}

/** A share of 20 °C would be another where the scale begins elsewhere. */
function checkShare(middle: Type | undefined, problems: FormulaProblem[]): void {
  if (middle?.kind !== 'quantity' || !middle.dimension.point) return
  problems.push({
    found: 'a share of a temperature',
    expected: 'a difference in K',
    mend: 'Write it as 20 °C ± 5 K.',
    hint: null,
  })
}

/** Volts that come out of a formula must be told AC from DC by a unit. */
function checkVolts(type: Type | undefined, problems: FormulaProblem[]): void {
  if (type?.kind !== 'quantity') return
  const unit = unitOfType(type)
  if (unit !== null && getUnit(unit).base !== 'V') return
  problems.push({
    found: describeDimension(type.dimension),
    expected: unit === null ? 'a quantity a meter can read' : 'V AC or V DC',
    mend: 'Give the limit a unit.',
    hint: null,
  })
}

function distinct(problems: FormulaProblem[]): FormulaProblem[] {
  const seen = new Set<string>()
  return problems.filter(problem => {
    const key = `${problem.found}|${problem.expected}`
    return !seen.has(key) && Boolean(seen.add(key))
  })
}
