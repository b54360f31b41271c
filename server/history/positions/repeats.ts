// Repeat faults by rule: the same position and symptom family again inside a window. The rules are data, several at once.

import { countWords, percentWords } from '../../words.ts'
import { countsOf } from '../basis.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import { dayMs } from './exposure.ts'

export interface RepeatRule {
  name: string
  days: number
  /** Faults within the window, this one counted, that make it a repeat; usually 2. */
  faults: number
}

export interface FaultMoment {
  id: string
  positionId: string
  /** Symptoms that count as the same. */
  family: string
  atMs: number
  /** Why it takes no part ("duplicate", "planned work"), or null. */
  excluded: string | null
}

export interface Repeat {
  fault: FaultMoment
  /** Names of the rules it is a repeat by. */
  rules: string[]
  /** The earlier faults within the longest of those rules' windows, oldest first. */
  earlier: string[]
}

/** Each fault that is a repeat by any rule, as it streams past. The faults must come in order of time. */
export function* findRepeats(faults: Iterable<FaultMoment>, rules: readonly RepeatRule[]): Generator<Repeat> {
  const longestMs = rules.reduce((most, rule) => Math.max(most, rule.days), 0) * dayMs
  const recent = new Map<string, Map<string, FaultMoment[]>>()
  let last = -Infinity
  for (const fault of faults) {
    if (fault.atMs < last) throw new RangeError('Faults must come in order of time.')
    last = fault.atMs
    if (fault.excluded !== null) continue
    const earlier = recentAt(recent, fault, longestMs)
    const met = earlier.length === 0 ? [] : rules.filter(rule => meets(earlier, fault, rule))
    if (met.length > 0) {
      const widest = met.reduce((a, b) => (b.days > a.days ? b : a))
      const ids = earlier.slice(firstWithin(earlier, fault, widest)).map(f => f.id)
      yield { fault, rules: met.map(r => r.name), earlier: ids }
    }
    earlier.push(fault)
  }
}

export interface RepeatShare {
  rule: RepeatRule
  repeats: number
  reports: number
  excluded: { reason: string; count: number }[]
}

/** For every rule: repeats over all reports, with what was left out. Streams; the faults must come in order of time. */
export function countRepeats(faults: Iterable<FaultMoment>, rules: readonly RepeatRule[]): RepeatShare[] {
  const excluded = new Map<string, number>()
  const repeats = new Map<string, number>()
  let reports = 0
  for (const found of findRepeats(counted(), rules)) {
    for (const name of found.rules) repeats.set(name, (repeats.get(name) ?? 0) + 1)
  }
  return rules.map(rule => ({
    rule,
    repeats: repeats.get(rule.name) ?? 0,
    reports,
    excluded: countsOf(excluded),
  }))

  function* counted() {
    for (const fault of faults) {
      if (fault.excluded === null) reports++
      else excluded.set(fault.excluded, (excluded.get(fault.excluded) ?? 0) + 1)
      yield fault
    }
  }
}

/** "12 % of 340 reports were repeats", with numerator, denominator and exclusions. */
export function explainRepeatShare(share: RepeatShare): Explained<number | null> {
  const { rule, repeats, reports } = share
  const terms = [
    term(
      'rule',
      rule.name,
      `${countWords(rule.faults, 'fault')} at one position with like symptoms within ${countWords(rule.days, 'day')}`,
    ),
    term('repeats', repeats, 'faults that are a repeat by the rule (numerator)'),
    term('reports', reports, 'all faults reported, the left-out ones not counted (denominator, n)'),
    ...share.excluded.map(e => term('left out', e.count, e.reason)),
  ]
  if (reports === 0) return cannotSay('No faults reported, so no share.', terms)
  const value = repeats / reports
  return {
    value,
    words: `${percentWords(value)} of ${countWords(reports, 'report')} were repeats (${rule.name})`,
    terms,
  }
}

/** The remembered faults of the same position and family, with those too old for any rule let go. */
function recentAt(
  recent: Map<string, Map<string, FaultMoment[]>>,
  fault: FaultMoment,
  longestMs: number,
): FaultMoment[] {
  const families = recent.get(fault.positionId) ?? new Map<string, FaultMoment[]>()
  const faults = families.get(fault.family) ?? []
  recent.set(fault.positionId, families)
  families.set(fault.family, faults)
  while (faults.length > 0 && (faults[0]?.atMs ?? 0) < fault.atMs - longestMs) faults.shift()
  return faults
}

function meets(earlier: FaultMoment[], fault: FaultMoment, rule: RepeatRule): boolean {
  const inWindow = earlier.length - firstWithin(earlier, fault, rule)
  return inWindow > 0 && inWindow + 1 >= rule.faults
}

/** Where in the earlier faults, oldest first, the rule's window begins. */
function firstWithin(earlier: FaultMoment[], fault: FaultMoment, rule: RepeatRule): number {
  const from = fault.atMs - rule.days * dayMs
  let first = earlier.length
  while (first > 0 && (earlier[first - 1]?.atMs ?? 0) >= from) first--
  return first
}
