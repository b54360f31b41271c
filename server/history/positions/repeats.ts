// Repeat faults by rule: the same position and symptom family
// again inside a window. The rules are data, several at once.

import { countWords, percentWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import { dayMs } from './exposure.ts'

export interface RepeatRule {
  name: string
  days: number
  /** Faults within the window, this one counted, that make it a repeat; usually 2. */
  faults: number
}

export interface RepeatTimes {
  /** How many of the faults counted are a repeat by each rule, in the order of the rules. */
  byRule: number[]
  /** How many are a repeat by any rule, and the newest of them; null when none is. */
  repeats: number
  newestMs: number | null
}

/** `times` ascending; those before index `first` only serve as earlier faults. Linear. */
export function repeatTimes(
  times: readonly number[],
  first: number,
  rules: readonly RepeatRule[],
): RepeatTimes {
  const byRule = rules.map(() => 0)
  const starts = rules.map(() => 0)
  let [repeats, newestMs]: [number, number | null] = [0, null]
  for (let i = 0; i < times.length; i++) {
    const at = times[i] ?? 0
    let any = false
    for (let r = 0; r < rules.length; r++) {
      const rule = rules[r]
      if (rule === undefined) continue
      let start = starts[r] ?? 0
      while ((times[start] ?? at) < at - rule.days * dayMs) start++
      starts[r] = start
      const earlier = i - start
      if (i < first || earlier === 0 || earlier + 1 < rule.faults) continue
      byRule[r] = (byRule[r] ?? 0) + 1
      any = true
    }
    if (any) [repeats, newestMs] = [repeats + 1, at]
  }
  return { byRule, repeats, newestMs }
}

export interface RepeatShare {
  rule: RepeatRule
  repeats: number
  reports: number
  excluded: { reason: string; count: number }[]
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
