import { type Expectation, type ParsedExpectation, parseExpectation } from '../../measurement/expectation.ts'
import { nameKey } from '../../measurement/formula.ts'
import { findUnit } from '../../measurement/units.ts'
import type { Equipment, Limit } from '../types.ts'

export type ReadExpectation = ParsedExpectation

/** What stands after `Expect:`. `unknown` is a name that no limit has; `own` a range written in the check itself. */
export type Expect =
  | { kind: 'limit'; limit: Limit }
  | { kind: 'own'; expectation: Expectation }
  | { kind: 'unknown' }
  | { kind: 'unreadable'; problem: Exclude<ParsedExpectation, { ok: true }>['problem'] }

export function readExpectation(text: string, unit: string | null): ReadExpectation {
  const known = unit === null ? null : findUnit(unit)
  return parseExpectation(text, known?.symbol)
}

export function expectOf(text: string, kit: Equipment): Expect {
  const limit = kit.limits.find(candidate => nameKey(candidate.name) === nameKey(text))
  if (limit) return { kind: 'limit', limit }
  const read = readExpectation(text, null)
  if (read.ok) return { kind: 'own', expectation: read.expectation }
  if (/^[\p{L}\s'’-]*$/u.test(text)) return { kind: 'unknown' }
  return { kind: 'unreadable', problem: read.problem }
}

/** Facts as a formula may name them: name → unit, or `choice`. */
export function factNames(kit: Equipment): Map<string, string> {
  const names = new Map<string, string>()
  for (const fact of kit.facts) {
    const unit = fact.unit ?? (fact.choices.length > 0 ? 'choice' : null)
    if (unit !== null) names.set(nameKey(fact.name), unit)
  }
  return names
}
