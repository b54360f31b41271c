// Repeat faults by the depot's own rules.

import type { Explained } from '../history/explained.ts'
import { explainRepeatShare, type RepeatRule, repeatTimes } from '../history/positions/repeats.ts'
import type { HistoryPosition } from '../storage/history/history.ts'
import type { Past } from './past.ts'

export interface RepeatPosition {
  position: HistoryPosition
  /** The fault tree. */
  family: string
  newestMs: number
  /** Repeats in the window, and the rules they are repeats by. */
  times: number
  rules: string[]
}

export interface RepeatFigures {
  shares: { rule: RepeatRule; explained: Explained<number | null> }[]
  /** One entry for each position and symptom, the newest first. */
  positions: RepeatPosition[]
}

/**
 * `past` must reach back before the window by the longest
 * rule, so that its first faults are judged like its last.
 */
export function repeatsIn(past: Past, rules: readonly RepeatRule[]): RepeatFigures {
  const totals = rules.map(() => 0)
  const positions: RepeatPosition[] = []
  for (const { position, family, times, first } of past.families) {
    const repeats = repeatTimes(times, first, rules)
    repeats.byRule.forEach((count, i) => {
      totals[i] = (totals[i] ?? 0) + count
    })
    if (repeats.newestMs === null) continue
    const names = rules.flatMap((rule, i) => ((repeats.byRule[i] ?? 0) > 0 ? [rule.name] : []))
    positions.push({ position, family, newestMs: repeats.newestMs, times: repeats.repeats, rules: names })
  }
  const { n: reports, excluded } = past.basis
  return {
    shares: rules.map((rule, i) => ({
      rule,
      explained: explainRepeatShare({ rule, repeats: totals[i] ?? 0, reports, excluded }),
    })),
    positions: positions.sort((a, b) => b.newestMs - a.newestMs),
  }
}

export function longestDays(rules: readonly RepeatRule[]): number {
  return rules.reduce((most, rule) => Math.max(most, rule.days), 0)
}
