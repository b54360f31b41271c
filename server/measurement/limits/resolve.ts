// A limit worked out for one position at one moment: the range, and the sum beside it.

import { bestShown, boundDigits, formatDigits, formatQuantity, formatRange } from '../readings/format.ts'
import { Impossible } from '../readings/impossible.ts'
import { clean, convert, findUnit, getUnit } from '../readings/units.ts'
import { type Environment, evaluate, type Result, type Value } from './evaluate.ts'
import { checkDimensions, expectationUnit, namesOf, sidesOf } from './expectation-check.ts'
import { nameKey } from './formula.ts'
import type { Expectation, Range } from './range.ts'

export type Resolved = { ok: true; range: Range } | { ok: false; missing: string[]; message: string }

/**
 * Works a limit out. `values` are facts and earlier findings by name: a number
 * with its unit, or a word. Answers with the names that are missing, or with
 * what is impossible about the numbers, in a sentence for people; never NaN.
 */
export function resolveRange(
  expectation: Expectation,
  environment: Environment,
  meta: { from: string; demo: boolean },
): Resolved {
  const values = new Map([...environment.values].map(([name, value]) => [nameKey(name), value]))
  const missing = missingNames(expectation, values)
  if (missing.length > 0)
    return { ok: false, missing, message: `Not known at this position: ${missing.join(', ')}.` }
  const wrong = firstProblem(expectation, values)
  if (wrong) return { ok: false, missing: [], message: wrong }
  try {
    return { ok: true, range: workOut(expectation, { values }, meta) }
  } catch (error) {
    if (error instanceof Impossible) return { ok: false, missing: [], message: error.message }
    throw error
  }
}

/** A limit that needs no facts as a range, or null when it needs some or comes to nothing. */
export function resolveConstant(expectation: Expectation): Range | null {
  const resolved = resolveRange(expectation, { values: new Map() }, { from: '', demo: false })
  return resolved.ok ? resolved.range : null
}

function missingNames(expectation: Expectation, values: ReadonlyMap<string, Value>): string[] {
  const ownWord = /^class [1256]( (plain|tinned|metal-coated))?$/
  return namesOf(expectation).filter(name => !values.has(nameKey(name)) && !ownWord.test(nameKey(name)))
}

function firstProblem(expectation: Expectation, values: ReadonlyMap<string, Value>): string | null {
  const names = new Map<string, string>()
  for (const [name, value] of values) {
    if (typeof value === 'string') names.set(name, 'choice')
    else if (findUnit(value.unit)) names.set(name, value.unit)
    else return `"${name}" has the unit "${value.unit}", which is not known: correct it.`
  }
  const [problem] = checkDimensions(expectation, names)
  return problem
    ? `The limit cannot be worked out: found ${problem.found}, expected ${problem.expected}.`
    : null
}

function workOut(
  expectation: Expectation,
  environment: Environment,
  meta: { from: string; demo: boolean },
): Range {
  const steps: string[] = []
  const names = new Map(
    [...environment.values].map(([name, value]) => [name, typeof value === 'string' ? 'choice' : value.unit]),
  )
  const unit = getUnit(expectationUnit(expectation, names) ?? 'ratio').base
  const reckoned = bounds(expectation, environment, steps, unit)
  const worked = steps.length > 0 || namesOf(expectation).length > 0
  const strict = 'strict' in expectation && expectation.strict ? { strict: true } : {}
  const shown = expectation.unit === '' ? bestShown({ ...reckoned, unit }) : expectation.unit
  const ends = settledEnds(reckoned, unit, shown, worked || expectation.kind === 'tolerance')
  const bare = { ...ends, unit, shown, ...strict }
  if (bare.min !== null && bare.max !== null && bare.min > bare.max)
    throw new Impossible(
      `The low end, ${formatQuantity(bare.min, unit)}, comes out above the high end, ${formatQuantity(bare.max, unit)}.`,
    )
  const text = formatRange(bare)
  const working = worked ? `${[...new Set(steps)].join('; ')}; so ${text}.` : null
  return { ...bare, text, from: meta.from, demo: meta.demo, working, floor: tidy(reckoned.floor) }
}

interface Bounds {
  min: number | null
  max: number | null
  floor: number | null
}

function bounds(expectation: Expectation, environment: Environment, steps: string[], unit: string): Bounds {
  const [first, second, third] = sidesOf(expectation).map(side => {
    const result = evaluate(side.expression, environment, steps)
    if (side.expression.kind === 'binary')
      steps.push(`${result.text} = ${shownValue(result, unit, side.step)}`)
    if (side.expression.kind === 'name') steps.push(result.text)
    return result
  })
  if (!first) return { min: null, max: null, floor: null }
  if (expectation.kind === 'at most') return { min: null, max: first.value, floor: first.floor }
  if (expectation.kind === 'at least') return { min: first.value, max: null, floor: null }
  if (expectation.kind === 'between')
    return { min: first.value, max: second?.value ?? null, floor: lower(first.floor, second?.floor ?? null) }
  return around(expectation.relative, first, second?.value ?? 0, third?.value ?? 0, steps, unit)
}

/**
 * The ends may be worked out for different temperatures: nothing reads lower than the lower of their floors.
 */
function lower(a: number | null, b: number | null): number | null {
  return a === null || b === null ? (a ?? b) : Math.min(a, b)
}

function around(
  relative: boolean,
  middle: Result,
  plus: number,
  minus: number,
  steps: string[],
  unit: string,
): Bounds {
  const size = relative ? Math.abs(middle.value) : 1
  if (steps.length > 0) {
    const width = relative
      ? plus === minus
        ? `± ${formatDigits(plus * 100, 4)}\u00a0%`
        : `+${formatDigits(plus * 100, 4)}\u00a0% −${formatDigits(minus * 100, 4)}\u00a0%`
      : `± ${formatQuantity(plus, unit === '°C' ? 'K' : unit)}`
    steps.push(`${formatQuantity(middle.value, unit)} ${width}`)
  }
  return { min: middle.value - size * minus, max: middle.value + size * plus, floor: middle.floor }
}

function shownValue(result: Result, unit: string, step: 'no' | 'width' | 'share'): string {
  if (step === 'share') return `${formatDigits(result.value * 100, 4)}\u00a0%`
  return formatQuantity(result.value, step === 'width' && unit === '°C' ? 'K' : unit)
}

/**
 * The bounds as they are shown, stored and judged by, all the same number. What was worked out is rounded inwards, in
 * the unit shown, to a step of one, ten, a tenth … that is at most a hundredth of the width, or of a lone bound.
 */
function settledEnds(
  { min, max }: Bounds,
  unit: string,
  shown: string,
  inwards: boolean,
): Pick<Range, 'min' | 'max'> {
  const [low, high] = [min, max].map(end => (end === null ? null : tidy(convert(end, unit, shown))))
  const width = low != null && high != null ? high - low : Math.abs(low ?? high ?? 0)
  const places = inwards && width > 0 ? -Math.floor(Math.log10(width / 100)) : null
  const settled = (end: number | null | undefined, round: (steps: number) => number) =>
    end == null ? null : convert(places === null ? end : rounded(end, places, round), shown, unit)
  return { min: settled(low, Math.ceil), max: settled(high, Math.floor) }
}

/** To so many decimal places; what lies on a step but for the noise of binary fractions stays there. */
function rounded(value: number, places: number, round: (steps: number) => number): number {
  // Of numbers that no meter shows there is nothing to round.
  if (Math.abs(places) > boundDigits) return value
  const steps = places >= 0 ? value * 10 ** places : value / 10 ** -places
  const nearest = Math.round(steps)
  const whole = Math.abs(steps - nearest) <= Math.abs(nearest) * 1e-11 ? nearest : round(steps)
  return Number(`${whole}e${-places}`)
}

function tidy(value: number): number
function tidy(value: number | null): number | null
function tidy(value: number | null): number | null {
  return value === null ? null : clean(Number(value.toPrecision(boundDigits)))
}
