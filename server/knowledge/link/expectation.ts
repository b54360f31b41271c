import { memo } from '../../cache.ts'
import {
  type Expectation,
  type ParsedExpectation,
  parseExpectation,
  type Range,
} from '../../measurement/limits/expectation.ts'
import { nameKey } from '../../measurement/limits/formula.ts'
import { findUnit } from '../../measurement/readings/units.ts'
import { constantBounds } from '../bounds.ts'
import type { Equipment, Limit } from '../types.ts'

export type ReadExpectation = ParsedExpectation

/**
 * What stands after `Expect:`. `unknown` is a name that no
 * limit has; `own` a range written in the check itself.
 */
export type Expect =
  | { kind: 'limit'; limit: Limit }
  | { kind: 'own'; expectation: Expectation }
  | { kind: 'unknown' }
  | { kind: 'unreadable'; problem: Exclude<ParsedExpectation, { ok: true }>['problem'] }

/** Cache of parsed ranges: the same few stand in many checks, and each is asked for several times. */
const readBefore = new Map<string, ReadExpectation>()
const MOST_KEPT = 2_000

/** Reads a range whose numbers without a unit are in `unit`. */
export function readExpectation(text: string, unit: string | null): ReadExpectation {
  const key = `${unit ?? ''}\n${text}`
  const cached = readBefore.get(key)
  if (cached) return cached
  if (readBefore.size >= MOST_KEPT) readBefore.clear()
  const parsedUnit = unit === null ? null : findUnit(unit)
  const read = parseExpectation(text, parsedUnit?.symbol)
  readBefore.set(key, read)
  return read
}

/** A range of plain numbers with their unit; null for anything else. */
export function readFixedRange(text: string): Range | null {
  const read = readExpectation(text, null)
  return read.ok ? constantBounds(read.expectation) : null
}

export function expectOf(text: string, kit: Equipment): Expect {
  const cache = expectsOf(kit)
  const cached = cache.get(text)
  if (cached) return cached
  const expect = readExpect(text, kit)
  cache.set(text, expect)
  return expect
}

/** Cache by equipment: the same few limits are named again and again. */
const expectsOf = memo((_kit: Equipment) => new Map<string, Expect>())

function readExpect(text: string, kit: Equipment): Expect {
  const limit = kit.limits.find(candidate => nameKey(candidate.name) === nameKey(text))
  if (limit) return { kind: 'limit', limit }
  const read = readExpectation(text, null)
  if (read.ok) return { kind: 'own', expectation: read.expectation }
  if (/^[\p{L}\s'’-]*$/u.test(text)) return { kind: 'unknown' }
  return { kind: 'unreadable', problem: read.problem }
}

/** Facts as a formula may name them: name → unit, or `choice`. */
export const factNames = memo((kit: Equipment): ReadonlyMap<string, string> => {
  const names = new Map<string, string>()
  for (const fact of kit.facts) {
    const unit = fact.unit ?? (fact.choices.length > 0 ? 'choice' : null)
    if (unit !== null) names.set(nameKey(fact.name), unit)
  }
  return names
})
