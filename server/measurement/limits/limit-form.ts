// The shape of a limit as written: one side, two sides, or a
// middle and a width. Its unit is settled elsewhere.

import { type Expression, parseFormula } from './formula.ts'
import { FormulaError, type FormulaProblem } from './formula-problem.ts'

/** Before the unit is settled: the sides as written. */
export type Form =
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

/** Reads the shape of a limit. Throws FormulaError. */
export function readForm(text: string): Form {
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
  if (amount.kind === 'number' && amount.value < 0)
    throw new FormulaError(`"± ${width}"`, 'a number above zero', 'Take the minus sign out.')
  return { kind: 'tolerance', middle: need(middle), plus: amount, minus: amount, relative }
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

function share(percent: number): Expression {
  return { kind: 'number', value: percent, unit: '%', text: `${percent} %` }
}
