// Repeats of one symptom at one position from the moments alone: the rule of `findRepeats` for a depot with a million
// faults, where each fault as a row of its own would cost too much.

import { dayMs } from './exposure.ts'
import type { RepeatRule } from './repeats.ts'

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
